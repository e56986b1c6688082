import { expect, it } from "vitest";
import { eyeOf, FROM_BEHIND, FROM_HEAD, FROM_SIDE, nearer, turnedBy } from "./turning";

it("looks from behind, from the patient's right and from the head", () => {
  expect(eyeOf(FROM_BEHIND)).toEqual([0, 0, 1]);
  const [right, , out] = eyeOf(FROM_SIDE);
  expect(right).toBeCloseTo(1);
  expect(out).toBeCloseTo(0);
  expect(eyeOf(FROM_HEAD)[1]).toBeGreaterThan(0.99);
});

it("never turns over the head, so that up stays up", () => {
  expect(turnedBy(FROM_BEHIND, 0, 500).over_deg).toBeLessThan(90);
  expect(turnedBy(FROM_BEHIND, 0, -500).over_deg).toBeGreaterThan(-90);
});

it("stays at a distance from which something is seen", () => {
  expect(nearer(FROM_BEHIND, 100).nearness).toBe(4);
  expect(nearer(FROM_BEHIND, 0.001).nearness).toBe(0.5);
});
