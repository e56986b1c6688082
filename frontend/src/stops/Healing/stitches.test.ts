import { expect, it } from "vitest";
import type { Case } from "../../api/records";
import { sampleRevision } from "../../testing/sample";
import { dayAfter, daysBetween, shortTime, weekdayDay } from "./days";
import { hasOwnStitches, stitchDays, withFirstStitches, withoutOwnStitches } from "./stitches";

const ENTRIES = [
  { code: "visit-7-days", on: "2026-12-03" },
  { code: "stitches-half", on: "2026-12-08" },
  { code: "stitches-rest", on: "2026-12-10" },
] as unknown as Parameters<typeof stitchDays>[1];

const CASE = {
  ...sampleRevision().dossier.case,
  aftercare: { schedule: { rules: [], own_days: [{ code: "sitting", on: "2026-12-20" }] } },
} as unknown as Case;

it("moves all stitches together and keeps them as far apart", () => {
  const moved = withFirstStitches(CASE, ENTRIES, "2026-12-11");
  expect(stitchDays(moved, ENTRIES)).toEqual([
    { code: "stitches-half", on: "2026-12-11" },
    { code: "stitches-rest", on: "2026-12-13" },
  ]);
});

it("moves on from the day set by hand although the dates were not read anew yet", () => {
  const twice = withFirstStitches(
    withFirstStitches(CASE, ENTRIES, "2026-12-09"),
    ENTRIES,
    "2026-12-10",
  );
  expect(stitchDays(twice, ENTRIES).map((each) => each.on)).toEqual(["2026-12-10", "2026-12-12"]);
});

it("leaves other days that were set by hand alone, there and back", () => {
  const moved = withFirstStitches(CASE, ENTRIES, "2026-12-11");
  expect(hasOwnStitches(CASE)).toBe(false);
  expect(hasOwnStitches(moved)).toBe(true);
  expect(withoutOwnStitches(moved)).toEqual(CASE);
});

it("counts days of the calendar over a change of the clocks and a leap day", () => {
  expect(dayAfter("2027-03-27", 2)).toBe("2027-03-29");
  expect(daysBetween("2028-02-28", "2028-03-01")).toBe(2);
  expect(weekdayDay("2026-12-10")).toBe("Thursday 10 December");
  expect(shortTime("2026-12-10T08:05:00", "2026-12-11")).toBe("Thu 10 Dec, 08:05");
});
