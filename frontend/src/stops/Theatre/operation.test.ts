import { expect, it } from "vitest";
import type { MeasuredCorner, TheatreStart } from "../../api/records";
import { LEFT, RIGHT } from "../../shell/sides";
import {
  around,
  byTime,
  cornerAt,
  cornersNow,
  emptyOperation,
  placeOf,
  stamped,
  withCorner,
} from "./operation";

function corner(name: string, above: number, off: number, side = RIGHT): MeasuredCorner {
  return { name, above_coccyx_tip_mm: above, off_midline_mm: off, side } as MeasuredCorner;
}

const START = {
  code: "C1",
  plan: "A",
  corners: [
    corner("A", 60, 10, LEFT),
    corner("B", 30, 30, LEFT),
    corner("C", -8, 20),
    corner("D", 25, 21),
  ],
} as unknown as TheatreStart;

it("begins a record in which nothing is said to have been done", () => {
  const { steps, layers, drains, deviations, measured, counts_agree } = emptyOperation(
    START,
    "2026-11-27",
  );
  expect([steps, layers, drains, deviations]).toEqual([null, null, null, null]);
  expect(measured).toEqual([]);
  expect(counts_agree).toBe("not asked");
});

it("draws a corner on its own side, and none whose side or number is missing", () => {
  expect(placeOf(corner("A", 60, 10, LEFT))).toEqual([-10, 60]);
  expect(placeOf(corner("A", 60, 10, RIGHT))).toEqual([10, 60]);
  expect(placeOf({ ...corner("A", 60, 10), side: null })).toBeNull();
  expect(
    placeOf({ ...corner("A", 60, 10), off_midline_mm: "12," as unknown as number }),
  ).toBeNull();
});

it("reads a place on the drawing back into the same corner", () => {
  for (const each of START.corners)
    expect(cornerAt(each.name, placeOf(each) ?? [0, 0])).toEqual(each);
  expect(cornerAt("A", [0.3, 5])).toEqual({ ...corner("A", 5, 0), side: null });
});

it("takes the plan's corner only until it is measured, and measures it once", () => {
  const begun = emptyOperation(START, "2026-11-27");
  const once = withCorner(begun, corner("C", -9, 22));
  const twice = withCorner(once, corner("C", -9, 24));
  expect(twice.measured).toEqual([corner("C", -9, 24)]);
  expect(cornersNow(START, twice).map((each) => each.off_midline_mm)).toEqual([10, 30, 24, 21]);
  expect(around(cornersNow(START, twice))).toHaveLength(4);
});

it("keeps steps in the order of the clock", () => {
  const begun = { ...emptyOperation(START, "2026-11-27"), steps: [{ step: "Late", at: "23:59" }] };
  const done = stamped(begun, "Skin cut").steps?.map((each) => each.step);
  expect(done).toContain("Skin cut");
  expect(byTime([{ at: "10:04:00" }, { at: "09:59" }]).map((each) => each.at)).toEqual([
    "09:59",
    "10:04:00",
  ]);
});
