import { expect, it } from "vitest";
import { lengthOf } from "./lines";
import { type Field, rings } from "./outlines";
import type { Line } from "./paper";

const disc =
  (x: number, y: number, r: number): Field =>
  ([px, py]) =>
    Math.hypot(px - x, py - y) - r;

/** Twice the signed area of a ring, halved: above zero when it runs anticlockwise. */
function areaOf(ring: Line): number {
  return ring.reduce((sum, [x, y], i) => {
    const [nx, ny] = ring[(i + 1) % ring.length] ?? [x, y];
    return sum + (x * ny - nx * y) / 2;
  }, 0);
}

it("finds the circumference and area of a disc", () => {
  const [ring = []] = rings(disc(1, -2, 5), [-8, -10], [10, 6], 0.25);
  expect(areaOf(ring)).toBeCloseTo(25 * Math.PI, 0);
  expect(lengthOf([...ring, ring[0] ?? [0, 0]])).toBeCloseTo(10 * Math.PI, 1);
});

it("draws two discs that overlap as one ring of the area of their union", () => {
  const union: Field = (p) => Math.min(disc(0, 0, 3)(p), disc(3, 0, 3)(p));
  const found = rings(union, [-6, -6], [9, 6], 0.1);
  const lens = 2 * 9 * Math.acos(0.5) - 1.5 * Math.sqrt(36 - 9);
  expect(found).toHaveLength(1);
  expect(areaOf(found[0] ?? [])).toBeCloseTo(18 * Math.PI - lens, 1);
});

it("keeps apart what is apart, and runs round a hole the other way", () => {
  const apart: Field = (p) => Math.min(disc(-5, 0, 2)(p), disc(5, 0, 2)(p));
  expect(rings(apart, [-9, -4], [9, 4], 0.25)).toHaveLength(2);
  const tube: Field = (p) => Math.abs(disc(0, 0, 4)(p)) - 1;
  const signs = rings(tube, [-7, -7], [7, 7], 0.25).map((ring) => Math.sign(areaOf(ring)));
  expect(signs.sort()).toEqual([-1, 1]);
});

it("finds nothing where there is nothing inside", () => {
  expect(rings(() => 1, [0, 0], [5, 5], 0.5)).toEqual([]);
});
