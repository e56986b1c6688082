/**
 * A slice out of the block of voxels: which voxel lies where on the picture, and its grey.
 *
 * Nothing but index arithmetic: the server says which index runs where and how large a pixel is.
 */

import type { ScanPicture, SignalWindow, SliceView } from "../api/records";

/** Column, row and slice of the block; fractional where something lies between. */
export type Voxel = readonly [number, number, number];

/** A place on the pictures of a view: pixels from the left, pixels from the top, slice. */
export type Pixel = { across: number; down: number; slice: number };

const INDEX = { i: 0, j: 1, k: 2 } as const;

/** Where a voxel lies on the pictures of a view. */
export function pixelOf(view: SliceView, voxel: Voxel): Pixel {
  return {
    across: turned(voxel[INDEX[view.across]], view.columns, view.across_turned),
    down: turned(voxel[INDEX[view.down]], view.rows, view.down_turned),
    slice: turned(voxel[INDEX[view.through]], view.slices, view.through_turned),
  };
}

/** The voxel at a place of a picture. */
export function voxelOf(view: SliceView, { across, down, slice }: Pixel): Voxel {
  const voxel: [number, number, number] = [0, 0, 0];
  voxel[INDEX[view.across]] = turned(across, view.columns, view.across_turned);
  voxel[INDEX[view.down]] = turned(down, view.rows, view.down_turned);
  voxel[INDEX[view.through]] = turned(slice, view.slices, view.through_turned);
  return voxel;
}

/** The grey picture of one slice, four bytes a pixel; air outside of the body lets paper through. */
export function painted(
  block: Int16Array,
  picture: ScanPicture,
  view: SliceView,
  slice: number,
  window: SignalWindow,
): Uint8ClampedArray<ArrayBuffer> {
  const steps = { i: 1, j: picture.columns, k: picture.columns * picture.rows };
  const first = voxelOf(view, { across: 0, down: 0, slice });
  const start = first[0] * steps.i + first[1] * steps.j + first[2] * steps.k;
  const right = view.across_turned ? -steps[view.across] : steps[view.across];
  const below = view.down_turned ? -steps[view.down] : steps[view.down];
  const grey = 255 / Math.max(1, window.high - window.low);
  const pixels = new Uint8ClampedArray(4 * view.columns * view.rows);
  for (let row = 0, at = 0; row < view.rows; row++) {
    let voxel = start + row * below;
    for (let column = 0; column < view.columns; column++, at += 4, voxel += right) {
      const number = block[voxel] ?? -1;
      if (number < 0) continue;
      const shade = (number - window.low) * grey;
      pixels[at] = shade;
      pixels[at + 1] = shade;
      pixels[at + 2] = shade;
      pixels[at + 3] = 255;
    }
  }
  return pixels;
}

/** A whole number from 0 to one less than `count`. */
export function within(value: number, count: number): number {
  return Math.max(0, Math.min(count - 1, Math.round(value)));
}

function turned(index: number, count: number, isTurned: boolean): number {
  return isTurned ? count - 1 - index : index;
}
