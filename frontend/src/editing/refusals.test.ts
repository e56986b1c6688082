import { expect, it } from "vitest";
import { asTyped, type Case } from "../api/records";
import { sampleRevision } from "../testing/sample";
import { withValue } from "./paths";
import { asEntered, inCase, settable } from "./refusals";

const SAVED = sampleRevision().dossier.case;
const refusal = (...path: (string | number)[]) => ({ path, sentence: "no" });
const put = (whole: Case, path: (string | number)[], value: unknown) =>
  withValue(whole, path, value);

it("saves everything but a refused entry, which keeps its last saved value", () => {
  const path = ["pits", 0, "above_coccyx_tip_mm"];
  const entered = put(put(SAVED, path, asTyped("1700")), ["patient", "label"], "Case 13");
  const sent = settable(entered, SAVED, [refusal(...path)]);
  expect(sent.pits[0]?.above_coccyx_tip_mm).toBe(17);
  expect(sent.patient.label).toBe("Case 13");
});

it("leaves out entries that were never saved, and only these", () => {
  const pits = [
    ...SAVED.pits,
    { ...SAVED.pits[0], name: "3" },
    { ...SAVED.pits[0], name: "4" },
    { ...SAVED.pits[0], name: "5" },
  ];
  const entered = put(SAVED, ["pits"], pits);
  const refused = [refusal("pits", 2, "radius_mm"), refusal("pits", 4, "radius_mm")];
  expect(settable(entered, SAVED, refused).pits.map((pit) => pit.name)).toEqual(["1", "2", "4"]);
});

it("leaves out an entry once, however much of it was refused", () => {
  const pits = [...SAVED.pits, { ...SAVED.pits[0], name: "3" }, { ...SAVED.pits[0], name: "4" }];
  const refused = [refusal("pits", 2, "radius_mm"), refusal("pits", 2, "above_coccyx_tip_mm")];
  const sent = settable(put(SAVED, ["pits"], pits), SAVED, refused);
  expect(sent.pits.map((pit) => pit.name)).toEqual(["1", "2", "4"]);
});

it("finds the entry that was meant behind entries that were left out", () => {
  const leftOut = [refusal("pits", 3, "radius_mm"), refusal("pits", 2, "radius_mm")];
  const told = [refusal("pits", 2, "radius_mm"), refusal("pits", 1, "side"), refusal("seed")];
  expect(asEntered(told, SAVED, leftOut).map(({ path }) => path)).toEqual([
    ["pits", 4, "radius_mm"],
    ["pits", 1, "side"],
    ["seed"],
  ]);
});

it("leaves out a record that was never saved and is half measured", () => {
  const folds = { across_mm: 20, along_mm: asTyped("") };
  const saved = put(SAVED, ["skin"], { folds: null, sitting: null });
  const entered = put(saved, ["skin", "folds"], folds);
  expect(settable(entered, saved, [refusal("skin", "folds", "along_mm")])).toEqual(saved);
});

it("finds the case in what was refused of a dossier", () => {
  expect(inCase([refusal("case", "pits", 0), refusal("scan", "files")])).toEqual([
    refusal("pits", 0),
  ]);
});
