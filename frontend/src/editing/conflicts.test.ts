import { expect, it } from "vitest";
import { sampleRevision } from "../testing/sample";
import { both, differing } from "./conflicts";
import { withValue } from "./paths";

const BASE = sampleRevision().dossier.case;
const mine = withValue(BASE, ["pits", 0, "above_coccyx_tip_mm"], 19);
const theirs = withValue(BASE, ["patient", "label"], "Case 12 b");

it("keeps both changes when they are at other places", () => {
  const merged = both(BASE, mine, theirs);
  expect(merged?.pits[0]?.above_coccyx_tip_mm).toBe(19);
  expect(merged?.patient.label).toBe("Case 12 b");
  expect(both(BASE, theirs, mine)).toEqual(merged);
});

it("does not merge when both changed one place, or a list and an entry of it", () => {
  expect(both(BASE, mine, withValue(BASE, ["pits", 0, "above_coccyx_tip_mm"], 21))).toBeNull();
  expect(both(BASE, mine, withValue(BASE, ["pits"], []))).toBeNull();
});

it("shows what each side has where they differ", () => {
  expect(differing(mine, theirs)).toEqual([
    { path: ["patient", "label"], mine: "Case 12", theirs: "Case 12 b" },
    { path: ["pits", 0, "above_coccyx_tip_mm"], mine: 19, theirs: 17 },
  ]);
});
