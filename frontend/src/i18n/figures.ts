/** Numbers, ranges and days in the reader's language; digits are the server's, not rounded here. */

import { language } from "./index";

/** No-break space. */
const JOIN = "\u00a0";
const EN_DASH = "–";

/** A number with the digits asked for, as the reader writes it. */
export function number(value: number, digits = 0): string {
  const form = { minimumFractionDigits: digits, maximumFractionDigits: digits };
  return new Intl.NumberFormat(language(), form).format(value).replace("-", "−");
}

/** Number and unit, which stay on one line. */
export function measure(value: number, unit: string, digits = 0): string {
  return `${number(value, digits)}${JOIN}${unit}`;
}

/** "19–22 mm"; one number where both ends read alike. */
export function range(low: number, high: number, unit: string, digits = 0): string {
  const [from, to] = [number(low, digits), number(high, digits)];
  return `${from === to ? from : `${from}${EN_DASH}${to}`}${JOIN}${unit}`;
}

/** "24 November"; with the year where it is another than this one. */
export function day(iso: string, today?: string): string {
  const sameYear = today?.slice(0, 4) === iso.slice(0, 4);
  const form: Intl.DateTimeFormatOptions = { day: "numeric", month: "long" };
  if (!sameYear) form.year = "numeric";
  return dayForm(iso, form);
}

/** A day in one of the reader's forms. */
export function dayForm(iso: string, form: Intl.DateTimeFormatOptions): string {
  return new Intl.DateTimeFormat(locale(), form).format(localDay(iso));
}

/** "10:31" on the clock on the wall. */
export function clock(at_ms: number): string {
  return new Intl.DateTimeFormat(locale(), {
    hour: "2-digit",
    minute: "2-digit",
    hour12: false,
  }).format(at_ms);
}

/** Today's local date, ISO. */
export function todayIso(now = new Date()): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

function locale(): string {
  return language() === "de" ? "de-DE" : "en-GB";
}

function localDay(iso: string): Date {
  const [year = 0, month = 1, date = 1] = iso.split("-").map(Number);
  return new Date(year, month - 1, date);
}
