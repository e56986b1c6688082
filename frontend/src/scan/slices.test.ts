import { expect, it } from "vitest";
import type { ScanPicture, SliceView } from "../api/records";
import { painted, pixelOf, voxelOf } from "./slices";

/** A block of 2 slices, 3 rows, 4 columns: the number of a voxel is 100 k + 10 j + i. */
const picture = { columns: 4, rows: 3, slices: 2 } as ScanPicture;
const block = Int16Array.from({ length: 24 }, (_, n) => {
  const [i, j, k] = [n % 4, Math.floor(n / 4) % 3, Math.floor(n / 12)];
  return 100 * k + 10 * j + i;
});

const across = {
  across: "i",
  down: "j",
  through: "k",
  across_turned: true,
  down_turned: false,
  through_turned: false,
  columns: 4,
  rows: 3,
  slices: 2,
} as SliceView;

const side = {
  across: "j",
  down: "k",
  through: "i",
  across_turned: false,
  down_turned: true,
  through_turned: true,
  columns: 3,
  rows: 2,
  slices: 4,
} as SliceView;

/** The numbers of a slice, read back from its greys. */
function numbers(view: SliceView, slice: number): number[] {
  const pixels = painted(block, picture, view, slice, { low: 0, high: 255 });
  return Array.from({ length: pixels.length / 4 }, (_, n) => pixels[4 * n] ?? -1);
}

it("paints the voxel that a place of the picture stands for, turned indices too", () => {
  for (const view of [across, side]) {
    for (let slice = 0; slice < view.slices; slice++) {
      const shown = numbers(view, slice);
      for (let down = 0; down < view.rows; down++) {
        for (let a = 0; a < view.columns; a++) {
          const [i, j, k] = voxelOf(view, { across: a, down, slice });
          expect(shown[down * view.columns + a]).toBe(100 * k + 10 * j + i);
        }
      }
    }
  }
});

it("finds a voxel again where it was painted", () => {
  for (const view of [across, side]) {
    expect(voxelOf(view, pixelOf(view, [1.25, 2, 0.5]))).toEqual([1.25, 2, 0.5]);
  }
  expect(pixelOf(across, [0, 1, 1])).toEqual({ across: 3, down: 1, slice: 1 });
});

it("lets paper through where the air is", () => {
  const airy = block.slice();
  airy[5] = -1 - 11;
  const pixels = painted(airy, picture, across, 0, { low: 0, high: 255 });
  const alpha = Array.from({ length: 12 }, (_, n) => pixels[4 * n + 3]);
  expect(alpha.filter((a) => a === 0)).toHaveLength(1);
  expect(alpha[4 + 2]).toBe(0);
});

it("spreads the greys over the window and stops at its ends", () => {
  const pixels = painted(block, picture, across, 1, { low: 110, high: 112 });
  const row = Array.from({ length: 4 }, (_, n) => pixels[4 * (4 + n)]);
  expect(row).toEqual([255, 255, 128, 0]);
});
