import { afterEach, expect, it } from "vitest";
import samples from "../testing/told.json";
import { speak } from "./index";
import { told, toldText } from "./told";

afterEach(() => speak("en"));

it("says each sentence of the server as paper says it", () => {
  speak("de");
  const said = Object.keys(samples).map((english) => [english, toldText(english)]);
  expect(Object.fromEntries(said)).toEqual(samples);
});

it("leaves a sentence that it does not know as it was sent, and says that it is English", () => {
  speak("de");
  expect(told("No acute sign was found. Look at the moon.")).toEqual([
    { words: "Kein akutes Zeichen gefunden. ", lang: "de" },
    { words: "Look at the moon.", lang: "en" },
  ]);
});

it("leaves everything as it was sent to whoever reads English", () => {
  expect(told("No drain.")).toEqual([{ words: "No drain.", lang: "en" }]);
});
