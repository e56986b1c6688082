import { afterEach, describe, expect, it } from "vitest";
import { dayText, momentText, readClock, readDay, readMoment } from "./dayTexts";
import { speak } from "./index";

afterEach(() => speak("en"));

describe("a day", () => {
  it("is written in the language of the page", () => {
    expect(dayText("2026-04-03")).toBe("3 Apr 2026");
    speak("de");
    expect(dayText("2026-04-03")).toBe("03.04.2026");
  });

  it.each([
    ["2026-04-03", "2026-04-03"],
    ["3.4.2026", "2026-04-03"],
    ["03. 04. 2026", "2026-04-03"],
    [" 3 Apr 2026 ", "2026-04-03"],
    ["3 april 2026", "2026-04-03"],
    ["3. März 2026", "2026-03-03"],
    ["3 Mai 2026", "2026-05-03"],
    ["31 Dez. 2026", "2026-12-31"],
    ["1 Sept 2026", "2026-09-01"],
    ["29.2.2028", "2028-02-29"],
  ])("is read from %s", (typed, iso) => {
    expect(readDay(typed)).toBe(iso);
  });

  it.each([
    "",
    "3/4/2026",
    "4/13/2026",
    "3.4.26",
    "29.2.2027",
    "31 Apr 2026",
    "3 Ju 2026",
    "0.1.2026",
    "1.0.2026",
    "32.1.2026",
    "3 Foo 2026",
    "tomorrow",
    "2026-13-01",
    "3.4.20261",
  ])("is not guessed from %s", (typed) => {
    expect(readDay(typed)).toBeNull();
  });

  it("that the page wrote is read as the same day, in either language", () => {
    for (const spoken of ["en", "de"] as const) {
      speak(spoken);
      for (let n = 0; n < 1500; n += 1) {
        const iso = new Date(Date.UTC(2024, 0, 1 + n)).toISOString().slice(0, 10);
        expect(readDay(dayText(iso))).toBe(iso);
        expect(readMoment(momentText(`${iso}T07:05`))).toBe(`${iso}T07:05`);
      }
    }
  });
});

describe("a time", () => {
  it("has 24 hours", () => {
    expect(["8:05", "08.05", "23:59", "00:00"].map(readClock)).toEqual([
      "08:05",
      "08:05",
      "23:59",
      "00:00",
    ]);
    expect(["24:00", "8:60", "8", "8:5", "", "8:05 pm"].map(readClock)).toEqual(
      Array.from({ length: 6 }, () => null),
    );
  });

  it("is read behind its day", () => {
    expect(readMoment("3.4.2026, 8:30")).toBe("2026-04-03T08:30");
    expect(readMoment("3 Apr 2026 08:30")).toBe("2026-04-03T08:30");
    expect(readMoment("2026-04-03T08:30:15")).toBe("2026-04-03T08:30");
    expect(readMoment("3 Apr 2026")).toBeNull();
    expect(readMoment("08:30")).toBeNull();
    expect(momentText("")).toBe("");
  });
});
