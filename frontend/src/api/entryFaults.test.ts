import { beforeEach, expect, it } from "vitest";
import { speak } from "../i18n";
import { RefusedError } from "./client";
import { entrySentence, wholeSentence } from "./entryFaults";

const REFUSED = new RefusedError(422, {
  detail: "Both.",
  errors: [
    {
      loc: ["body", "across_mm"],
      detail: "The bar across is 1.5 mm too short.",
      code: "bar_short",
      figures: { off_mm: "1.5", skin_mm: "1.7" },
    },
    { loc: ["body", "along_mm"], detail: "Something new.", code: "not said here", figures: {} },
  ],
});

beforeEach(() => speak("en"));

it("says what is wrong with an entry in the reader's words and digits", () => {
  expect(entrySentence(REFUSED, "across_mm", "marking")).toContain("1.5 mm too short");
  speak("de");
  expect(entrySentence(REFUSED, "across_mm", "marking")).toContain("1,5 mm zu kurz");
});

it("falls back on the server's sentence, and says nothing where nothing is wrong", () => {
  expect(entrySentence(REFUSED, "along_mm", "marking")).toBe("Something new.");
  expect(entrySentence(REFUSED, "side", "marking")).toBeNull();
  expect(entrySentence(null, "side", "marking")).toBeNull();
});

it("says a refusal of the whole once, and not again what its entries say", () => {
  expect(wholeSentence(REFUSED)).toBeNull();
  expect(wholeSentence(new RefusedError(409, { detail: "Another plan." }))).toBe("Another plan.");
});
