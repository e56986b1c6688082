import { expect, it } from "vitest";
import { differences, valueAt, without, withValue } from "./paths";

const WHOLE = { a: { b: [1, { c: 2 }], d: "x" }, e: null };

it("replaces one place and shares the rest", () => {
  const next = withValue(WHOLE, ["a", "b", 1, "c"], 3);
  expect(next).toEqual({ a: { b: [1, { c: 3 }], d: "x" }, e: null });
  expect(WHOLE.a.b[1]).toEqual({ c: 2 });
  expect(next.e).toBe(WHOLE.e);
});

it("gives back the same object when the value was there already", () => {
  expect(withValue(WHOLE, ["a", "d"], "x")).toBe(WHOLE);
});

it("removes an entry of a list, or a field", () => {
  expect(without(WHOLE, ["a", "b", 0]).a.b).toEqual([{ c: 2 }]);
  expect("d" in without(WHOLE, ["a", "d"]).a).toBe(false);
  expect(without(WHOLE, ["a", "nowhere", 4])).toBe(WHOLE);
});

it("finds every place that differs, and none between copies", () => {
  const other = { a: { b: [1, { c: 5 }], d: "y" }, e: null };
  expect(differences(WHOLE, other)).toEqual([
    ["a", "b", 1, "c"],
    ["a", "d"],
  ]);
  expect(differences(WHOLE, structuredClone(WHOLE))).toEqual([]);
});

it("takes lists of other lengths as one difference", () => {
  expect(differences({ l: [1, 2] }, { l: [1] })).toEqual([["l"]]);
});

it("brings two wholes together when each difference is carried over", () => {
  const other = { a: { b: [7, { c: 5 }], d: "y" }, e: "f" as string | null };
  const paths = differences(WHOLE, other);
  const carried = paths.reduce(
    (w, path) => withValue(w, path, valueAt(other, path)),
    WHOLE as typeof other,
  );
  expect(carried).toEqual(other);
});
