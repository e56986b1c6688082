/** Days and times as people type them, in the language of the page and not of the browser. */

import { dayForm } from "./figures";
import { type Language, language } from "./index";

const ISO_DAY = /^(\d{4})-(\d{2})-(\d{2})$/;
const DOTTED = /^(\d{1,2})\.\s*(\d{1,2})\.\s*(\d{4})$/;
const WORDED = /^(\d{1,2})\.?\s*(\p{L}+)\.?,?\s*(\d{4})$/u;
const CLOCK = /^(\d{1,2})[:.](\d{2})(?::\d{2})?$/;
const DAY_AND_CLOCK = /^(.*?)(?:\s*,\s*|\s+|T)(\d{1,2}[:.]\d{2}(?::\d{2})?)$/;

/** As many letters tell the months of a language apart: Jun and Jul, Mär and Mai. */
const LEAST_LETTERS = 3;

/** "27 Nov 2026"; German "27.11.2026". */
export function dayText(iso: string): string {
  return dayForm(iso, SHORT[language()]);
}

/** "27 Nov 2026, 08:30"; the clock has 24 hours. */
export function momentText(local: string): string {
  return local === "" ? "" : `${dayText(local.slice(0, 10))}, ${local.slice(11, 16)}`;
}

/**
 * The day that a text says, ISO, or nothing.
 *
 * Read are 27.11.2026, 27 Nov 2026 with a month of either language, and 2026-11-27. Not read is
 * 3/4/2026, which is March to one reader and April to another, nor a year of two figures.
 */
export function readDay(typed: string): string | null {
  const text = typed.trim();
  const iso = ISO_DAY.exec(text);
  if (iso) return calendarDay(iso[1], iso[2], iso[3]);
  const dotted = DOTTED.exec(text);
  if (dotted) return calendarDay(dotted[3], dotted[2], dotted[1]);
  const worded = WORDED.exec(text);
  return worded ? calendarDay(worded[3], monthOf(worded[2] ?? ""), worded[1]) : null;
}

/** The time of the clock on the wall that a text says, as 08:30, or nothing. */
export function readClock(typed: string): string | null {
  const [, hour, minute] = CLOCK.exec(typed.trim()) ?? [];
  if (hour === undefined || Number(hour) > 23 || Number(minute) > 59) return null;
  return `${hour.padStart(2, "0")}:${minute}`;
}

/** A day and a time in one text, as 2026-11-27T08:30, or nothing. */
export function readMoment(typed: string): string | null {
  const [, day = "", clock = ""] = DAY_AND_CLOCK.exec(typed.trim()) ?? [];
  const [iso, at] = [readDay(day), readClock(clock)];
  return iso && at ? `${iso}T${at}` : null;
}

const SHORT: Record<Language, Intl.DateTimeFormatOptions> = {
  en: { day: "numeric", month: "short", year: "numeric" },
  de: { day: "2-digit", month: "2-digit", year: "numeric" },
};

const MONTHS = ["en-GB", "de-DE"].map((locale) => {
  const name = new Intl.DateTimeFormat(locale, { month: "long", timeZone: "UTC" });
  return Array.from({ length: 12 }, (_, n) => name.format(Date.UTC(2026, n, 15)).toLowerCase());
});

/** The number of a month by its first letters in either language; else no month. */
function monthOf(word: string): string {
  const begins = word.toLowerCase();
  if (begins.length < LEAST_LETTERS) return "0";
  const found = MONTHS.map((names) => names.findIndex((name) => name.startsWith(begins)));
  return String(Math.max(...found) + 1);
}

/** ISO, if the calendar has this day. */
function calendarDay(year = "", month = "", date = ""): string | null {
  const iso = `${year}-${month.padStart(2, "0")}-${date.padStart(2, "0")}`;
  const at = new Date(`${iso}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().slice(0, 10) === iso ? iso : null;
}
