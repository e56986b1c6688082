import { expect, it } from "vitest";
import { asTyped, type Case } from "../../api/records";
import { withValue } from "../../editing/paths";
import { sampleRevision } from "../../testing/sample";
import {
  openEntries,
  withEntries,
  withFold,
  withoutPit,
  withPit,
  withPitName,
  withProbing,
} from "./entries";

const CASE = sampleRevision().dossier.case;
const PROBED = withProbing(withProbing(CASE, "1"), "2");
const BARE = withValue(CASE, ["skin"], { folds: null, sitting: null }) as Case;

it("gives a new pit the first free name and no place that nobody measured", () => {
  const added = withPit(withValue(CASE, ["pits", 0, "name"], "3"));
  expect(added.pits.at(-1)).toMatchObject({ name: "1", above_coccyx_tip_mm: "", side: null });
  expect(openEntries(added)).toEqual([{ code: "open_pit", place: "pits.2", sentence: "1" }]);
});

it("guesses no length, depth, direction or side of a new probe", () => {
  const probing = PROBED.probings[1];
  expect(probing).toMatchObject({ tract: "T2", pit: "2", side: null });
  expect([probing?.length_mm, probing?.tip_depth_mm, probing?.from_cranial_deg]).toEqual([
    "",
    "",
    "",
  ]);
  expect(openEntries(PROBED).map(({ place }) => place)).toEqual(["probings.0", "probings.1"]);
});

it("removes a pit with what was probed from it, and nothing else", () => {
  const left = withoutPit(PROBED, 0);
  expect(left.pits.map(({ name }) => name)).toEqual(["2"]);
  expect(left.probings.map(({ tract }) => tract)).toEqual(["T2"]);
});

it("renames a pit also where a probe went into it", () => {
  const named = withPitName(PROBED, 1, "upper");
  expect(named.pits[1]?.name).toBe("upper");
  expect(named.probings.map(({ pit }) => pit)).toEqual(["1", "upper"]);
});

it("is the same case when a place says what was entered already", () => {
  const { above_coccyx_tip_mm, off_midline_mm, side } = CASE.pits[1] as Case["pits"][number];
  const same = { above_coccyx_tip_mm, off_midline_mm, side };
  expect(withEntries(CASE, ["pits", 1], same)).toBe(CASE);
});

it("has no skin folds once the last of them is emptied", () => {
  const one = withFold(BARE, "along_mm", "20");
  expect(one.skin.folds).toMatchObject({ across_mm: "", along_mm: asTyped("20") });
  expect(withFold(one, "along_mm", "").skin.folds).toBeNull();
});
