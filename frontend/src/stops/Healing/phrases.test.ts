import { afterEach, expect, it } from "vitest";
import { speak } from "../../i18n";
import { told } from "./phrases";

afterEach(() => speak("en"));

it("says a sentence of the server that it knows in the reader's language", () => {
  speak("de");
  expect(told("Sport")).toEqual({ words: "Sport treiben", lang: "de" });
});

it("leaves a sentence that it does not know as it was sent, and says that it is English", () => {
  speak("de");
  expect(told("Look at the dressing")).toEqual({ words: "Look at the dressing", lang: "en" });
});
