import { expect, it } from "vitest";
import type { Case } from "../../../api/records";
import {
  allTargets,
  clicksOf,
  floorTargets,
  landmarkTargets,
  type Mark,
  marksOf,
  newCavity,
  type Target,
  tractTargets,
  withMark,
  withoutMark,
  withoutPart,
  withTract,
} from "./marks";

const plain = { clicks: null, probings: [{ tract: "T1" }, { tract: "T2" }] } as unknown as Case;

const of = (targets: Target[], kind: string) => targets.find((t) => t.kind === kind) as Target;

it("makes the clicks with the first mark and notes the series", () => {
  const marked = withMark(plain, of(landmarkTargets(), "anal_verge"), null, [1, 2, 3], "1.2.3");
  expect(marked.clicks).toMatchObject({ series_uid: "1.2.3", anal_verge_lps_mm: [1, 2, 3] });
  expect(marked.clicks?.coccyx_tip_lps_mm).toBeNull();
  expect(plain.clicks).toBeNull();
});

it("adds points to a list, moves the chosen one, removes one", () => {
  const bone = of(floorTargets(), "presacral");
  let entered = withMark(plain, bone, null, [1, 0, 0], "s");
  entered = withMark(entered, bone, null, [2, 0, 0], "s");
  entered = withMark(entered, bone, 1, [9, 0, 0], "s");
  const marks = marksOf(clicksOf(entered), bone);
  expect(marks.map((mark) => mark.place[0])).toEqual([9, 2]);
  const left = withoutMark(entered, marks[0] as Mark);
  expect(left.clicks?.presacral_lps_mm).toEqual([[2, 0, 0]]);
});

it("names tracts after the probing, then by the next free number", () => {
  const three = withTract(withTract(withTract(plain)));
  expect(three.clicks?.tracts.map((tract) => tract.name)).toEqual(["T1", "T2", "T3"]);
  expect(withoutPart(three, ["tracts", 1]).clicks?.tracts.map((t) => t.name)).toEqual(["T1", "T3"]);
});

it("marks and clears the end of a tract", () => {
  const one = withTract(plain);
  const end = of(tractTargets(clicksOf(one), 0), "blind_end");
  const marked = withMark(one, end, null, [4, 5, 6], "s");
  const mark = marksOf(clicksOf(marked), end)[0] as Mark;
  expect(mark.place).toEqual([4, 5, 6]);
  expect(marksOf(clicksOf(withoutMark(marked, mark)), end)).toEqual([]);
});

it("makes a cavity with its first click and moves it with the next", () => {
  const first = newCavity(plain, "Cavity");
  const made = withMark(plain, first, null, [1, 1, 1], "s");
  const moved = withMark(made, first, null, [2, 2, 2], "s");
  expect(moved.clicks?.cavities).toEqual([{ name: "Cavity 1", middle_lps_mm: [2, 2, 2] }]);
  expect(newCavity(moved, "Cavity").of).toBe("Cavity 2");
});

it("lists everything that can be marked, each at a place of its own", () => {
  const paths = allTargets(clicksOf(withTract(plain))).map((target) => target.path.join("."));
  expect(new Set(paths).size).toBe(paths.length);
  expect(paths).toContain("tracts.0.way_points_lps_mm");
});
