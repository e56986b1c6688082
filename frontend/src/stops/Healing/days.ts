/** Days of the local calendar, counted from an operation, and as people read them. */

import { language } from "../../i18n";

/** "Thursday 3 December": by the weekday a wrong date is noticed. */
export function weekdayDay(iso: string): string {
  return said(iso, { weekday: "long", day: "numeric", month: "long" });
}

/** "Thu 3 Dec". */
export function shortDay(iso: string, today?: string): string {
  const form: Intl.DateTimeFormatOptions = { weekday: "short", day: "numeric", month: "short" };
  if (today !== undefined && today.slice(0, 4) !== iso.slice(0, 4)) form.year = "numeric";
  return said(iso, form);
}

/** "Thu", "3" for the ticks of a drawing. */
export function tickDay(iso: string): [weekday: string, date: string] {
  return [said(iso, { weekday: "short" }), said(iso, { day: "numeric" })];
}

/** "Thu 3 Dec, 08:00". */
export function shortTime(local: string, today?: string): string {
  return `${shortDay(local.slice(0, 10), today)}, ${local.slice(11, 16)}`;
}

export function dayAfter(iso: string, days: number): string {
  const at = noon(iso);
  at.setUTCDate(at.getUTCDate() + days);
  return at.toISOString().slice(0, 10);
}

export function daysBetween(from: string, to: string): number {
  return Math.round((noon(to).getTime() - noon(from).getTime()) / 86_400_000);
}

/** The clock on the wall, as the server writes it: 2026-11-25T08:30. */
export function nowLocal(now = new Date()): string {
  const two = (n: number) => String(n).padStart(2, "0");
  const day = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  return `${day}T${two(now.getHours())}:${two(now.getMinutes())}`;
}

function said(iso: string, form: Intl.DateTimeFormatOptions): string {
  const locale = language() === "de" ? "de-DE" : "en-GB";
  return new Intl.DateTimeFormat(locale, { ...form, timeZone: "UTC" }).format(noon(iso));
}

/** Noon of a day without a zone, so that no clock change moves it. */
function noon(iso: string): Date {
  return new Date(`${iso}T12:00:00Z`);
}
