import { afterEach, expect, it } from "vitest";
import { speak } from "../../i18n";
import { told } from "./phrases";

afterEach(() => speak("en"));

it("says a sentence of the server that it knows in the reader's language", () => {
  speak("de");
  expect(told("Sport")).toEqual({ words: "Sport treiben", lang: "de" });
});

it("keeps the figures of a sentence that it knows", () => {
  speak("de");
  expect(told("Day 4: nothing was read since day 2. The forecast rests on old readings.")).toEqual({
    words: "Tag 4: seit Tag 2 wurde nichts abgelesen. Die Vorhersage ruht auf alten Werten.",
    lang: "de",
  });
});

it("leaves a sentence that it does not know as it was sent, and says that it is English", () => {
  speak("de");
  expect(told("Look at the dressing")).toEqual({ words: "Look at the dressing", lang: "en" });
});
