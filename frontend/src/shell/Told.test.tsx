import { render, screen } from "@testing-library/react";
import { afterEach, expect, it } from "vitest";
import { speak } from "../i18n";
import { Told } from "./Told";

afterEach(() => speak("en"));

it("marks each piece with the language that it is in", () => {
  speak("de");
  render(<Told>No acute sign was found. Look at the moon.</Told>);
  expect(screen.getByText("Kein akutes Zeichen gefunden.").lang).toBe("de");
  expect(screen.getByText("Look at the moon.").lang).toBe("en");
});
