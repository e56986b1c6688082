/** How a scan is looked at: from where, at which place, with which greys, how close. */

import type { ScanPicture, SignalWindow, SliceView } from "../api/records";
import { type Pixel, pixelOf, type Voxel, voxelOf, within } from "./slices";

export type Looking = {
  view: SliceView;
  /** Where the cross stands; its slice is the one that is shown. */
  cursor: Voxel;
  window: SignalWindow;
  /** How many times closer than the whole picture. */
  zoom: number;
  /** The middle of what is shown when it is not the whole. */
  focus: Voxel;
};

/** The part of a picture that is shown, mm from the middle of its first pixel. */
export type Frame = { x: number; y: number; width: number; height: number };

export const ZOOMS = [1, 2, 4] as const;

export function firstLook(picture: ScanPicture): Looking {
  const middle: Voxel = [
    within(picture.columns / 2, picture.columns),
    within(picture.rows / 2, picture.rows),
    within(picture.slices / 2, picture.slices),
  ];
  const view = picture.views[0] as SliceView;
  return { view, cursor: middle, window: picture.window, zoom: 1, focus: middle };
}

/** The cross at another place of the picture that is shown. */
export function atPixel(look: Looking, to: Partial<Pixel>): Looking {
  const { view } = look;
  const now = { ...pixelOf(view, look.cursor), ...to };
  const cursor = voxelOf(view, {
    across: within(now.across, view.columns),
    down: within(now.down, view.rows),
    slice: within(now.slice, view.slices),
  });
  return followed({ ...look, cursor });
}

/** The cross at a voxel, and its slice. */
export function atVoxel(look: Looking, voxel: Voxel): Looking {
  return atPixel(look, pixelOf(look.view, voxel));
}

export function seenFrom(look: Looking, view: SliceView): Looking {
  return { ...look, view, focus: look.cursor };
}

export function closer(look: Looking, zoom: number): Looking {
  return { ...look, zoom, focus: look.cursor };
}

/** Greys moved and spread, as shares of the window's width. */
export function withGreys(
  { low, high }: SignalWindow,
  lighter: number,
  harder: number,
): SignalWindow {
  const width = Math.max(2, high - low);
  const middle = (low + high) / 2 - lighter * width;
  const half = Math.max(1, (width * (1 - harder)) / 2);
  return { low: Math.round(middle - half), high: Math.round(middle + half) };
}

export function frameOfLook({ view, zoom, focus }: Looking): Frame {
  const size = { x: view.columns * view.column_mm, y: view.rows * view.row_mm };
  const at = pixelOf(view, focus);
  return {
    x: start(at.across * view.column_mm, size.x, zoom) - view.column_mm / 2,
    y: start(at.down * view.row_mm, size.y, zoom) - view.row_mm / 2,
    width: size.x / zoom,
    height: size.y / zoom,
  };
}

function start(middle: number, size: number, zoom: number): number {
  const shown = size / zoom;
  return Math.max(0, Math.min(size - shown, middle - shown / 2));
}

/** What is shown moves along when the cross leaves it. */
function followed(look: Looking): Looking {
  const frame = frameOfLook(look);
  const { across, down } = pixelOf(look.view, look.cursor);
  const [x, y] = [across * look.view.column_mm, down * look.view.row_mm];
  const isInside =
    x >= frame.x && x <= frame.x + frame.width && y >= frame.y && y <= frame.y + frame.height;
  return isInside ? look : { ...look, focus: look.cursor };
}
