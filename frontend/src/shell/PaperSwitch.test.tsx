import { act, render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, beforeEach, expect, it } from "vitest";
import { speak } from "../i18n";
import { stubDevice } from "../testing/device";
import { PaperSwitch } from "./PaperSwitch";

let device = stubDevice();

beforeEach(() => {
  speak("en");
  device = stubDevice();
});

afterEach(() => {
  localStorage.clear();
  delete document.documentElement.dataset.paper;
});

it("offers the other paper, also once the device has changed its own", () => {
  render(<PaperSwitch />);
  expect(screen.getByRole("button").textContent).toBe("Dark paper");
  act(() => device.dark(true));
  expect(screen.getByRole("button").textContent).toBe("Light paper");
});

it("keeps the paper that was chosen, whatever the device does", async () => {
  render(<PaperSwitch />);
  await userEvent.click(screen.getByRole("button"));
  expect(document.documentElement.dataset.paper).toBe("dark");
  expect(await screen.findByText("Light paper")).toBeTruthy();
  act(() => device.dark(false));
  expect(screen.getByRole("button").textContent).toBe("Light paper");
});
