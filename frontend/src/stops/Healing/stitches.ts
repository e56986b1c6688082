/** The days on which stitches leave: as set by hand, else as in the schedule; moved together. */

import type { Case, HealingPlan } from "../../api/records";
import { dayAfter, daysBetween } from "./days";

const STITCHES = "stitches";

type Entries = NonNullable<HealingPlan["schedule"]>["entries"];
export type StitchDay = { code: string; on: string };

/** Each entry that takes stitches out, the first day first. */
export function stitchDays(entered: Case, entries: Entries): StitchDay[] {
  const own = new Map(entered.aftercare.schedule.own_days.map((each) => [each.code, each.on]));
  return entries
    .filter((entry) => entry.code.startsWith(STITCHES))
    .map((entry) => ({ code: entry.code, on: own.get(entry.code) ?? entry.on }))
    .sort((a, b) => a.on.localeCompare(b.on));
}

/** The case with the first stitches leaving on a day, the others as much later as they were. */
export function withFirstStitches(entered: Case, entries: Entries, on: string): Case {
  const days = stitchDays(entered, entries);
  const first = days[0];
  if (!first) return entered;
  const shift = daysBetween(first.on, on);
  const moved = days.map(({ code, on: was }) => ({ code, on: dayAfter(was, shift) }));
  return withOwn(entered, [...others(entered), ...moved]);
}

/** The case with the stitches' days as the schedule has them. */
export function withoutOwnStitches(entered: Case): Case {
  return withOwn(entered, others(entered));
}

export function hasOwnStitches(entered: Case): boolean {
  return others(entered).length < entered.aftercare.schedule.own_days.length;
}

function others(entered: Case): StitchDay[] {
  return entered.aftercare.schedule.own_days.filter((each) => !each.code.startsWith(STITCHES));
}

function withOwn(entered: Case, own_days: StitchDay[]): Case {
  const { aftercare } = entered;
  const schedule = { ...aftercare.schedule, own_days };
  return { ...entered, aftercare: { ...aftercare, schedule } };
}
