import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, it, vi } from "vitest";
import { NewCase } from "./NewCase";

afterEach(() => vi.unstubAllGlobals());

it("is not begun while a day cannot be read", async () => {
  const asked = vi.fn(async () => Response.json({}));
  vi.stubGlobal("fetch", asked);
  render(<NewCase today="2026-11-26" onBack={() => undefined} />);
  await userEvent.type(screen.getByLabelText("Label of the case"), "Case 12");
  await userEvent.type(screen.getByLabelText("Date of birth"), "3/4/1990");
  await userEvent.click(screen.getByRole("button", { name: "Start this case" }));
  expect(asked).not.toHaveBeenCalled();
  expect(screen.getByText("Correct the day first.")).toBeTruthy();
});
