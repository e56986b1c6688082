import { expect, it } from "vitest";
import type { Surface, TractMap } from "../api/records";
import { diseaseRings, flatOf } from "./shadows";

/** A skin that falls towards the midline by a slope, the same at every height. */
function vee(slope: number): Surface {
  const x_mm = [-40, -20, 0, 20, 40];
  const row = x_mm.map((x) => slope * Math.abs(x));
  return { x_mm, y_mm: [-50, 0, 60], z_mm: [row, row, row], origin: "entered", sd_mm: 0 };
}

it("lays a slope flat by its length, each side to its own", () => {
  const flat = flatOf(vee(3 / 4));
  expect(flat(8, 12)[0]).toBeCloseTo(10, 9);
  expect(flat(-16, -3)[0]).toBeCloseTo(-20, 9);
  expect(flat(8, 12)[1]).toBe(12);
});

it("leaves a flat skin as it is", () => {
  const flat = flatOf(vee(0));
  expect(flat(-7.3, 5)[0]).toBeCloseTo(-7.3, 9);
});

it("draws a tract at its true width, and the margin round it", () => {
  const tract = {
    centre_mm: [
      [2, 5, -8],
      [2, 25, -12],
    ],
    radius_mm: [3, 3],
  };
  const map = { tracts: [tract], cavities: [], spots: [] } as unknown as TractMap;
  for (const wider of [0, 5]) {
    const [ring = []] = diseaseRings(map, (x, y) => [x, y], wider);
    const across = ring.map(([x]) => x);
    const along = ring.map(([, y]) => y);
    expect(Math.min(...across)).toBeCloseTo(2 - 3 - wider, 1);
    expect(Math.max(...across)).toBeCloseTo(2 + 3 + wider, 1);
    expect(Math.min(...along)).toBeCloseTo(5 - 3 - wider, 1);
    expect(Math.max(...along)).toBeCloseTo(25 + 3 + wider, 1);
  }
});

it("draws a cavity as the ellipse that is seen from above", () => {
  const axes = [
    [6, 0, 0],
    [0, 3, 0],
    [0, 0, 4],
  ];
  const map = { tracts: [], cavities: [{ centre_mm: [-4, 10, -9], half_axes_mm: axes }] };
  const [ring = []] = diseaseRings(map as unknown as TractMap, (x, y) => [x, y]);
  expect(Math.min(...ring.map(([x]) => x))).toBeCloseTo(-10, 1);
  expect(Math.max(...ring.map(([, y]) => y))).toBeCloseTo(13, 1);
});
