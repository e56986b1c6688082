import { expect, it } from "vitest";
import type { ScanPicture, SliceView } from "../api/records";
import { atPixel, closer, firstLook, frameOfLook, withGreys } from "./looking";
import { pixelOf } from "./slices";

const view = {
  across: "i",
  down: "j",
  through: "k",
  columns: 100,
  rows: 80,
  slices: 20,
  column_mm: 0.5,
  row_mm: 2,
} as SliceView;
const picture = {
  columns: 100,
  rows: 80,
  slices: 20,
  views: [view],
  window: { low: 0, high: 400 },
} as unknown as ScanPicture;

it("keeps the cross on the picture", () => {
  const look = atPixel(firstLook(picture), { across: -7, down: 900, slice: 400 });
  expect(look.cursor).toEqual([0, 79, 19]);
});

it("shows the whole picture, its pixels at their true size", () => {
  expect(frameOfLook(firstLook(picture))).toEqual({ x: -0.25, y: -1, width: 50, height: 160 });
});

it("stays within the picture when it is nearer, and follows the cross", () => {
  const corner = closer(atPixel(firstLook(picture), { across: 0, down: 0 }), 4);
  expect(frameOfLook(corner)).toEqual({ x: -0.25, y: -1, width: 12.5, height: 40 });
  const far = atPixel(corner, { across: 99, down: 79 });
  const frame = frameOfLook(far);
  const at = pixelOf(view, far.cursor);
  expect(at.across * view.column_mm).toBeLessThanOrEqual(frame.x + frame.width);
  expect(frame.x + frame.width).toBeCloseTo(49.75);
});

it("moves and narrows the greys, and never turns them round", () => {
  expect(withGreys({ low: 0, high: 400 }, 0.1, 0)).toEqual({ low: -40, high: 360 });
  expect(withGreys({ low: 0, high: 400 }, 0, 0.5)).toEqual({ low: 100, high: 300 });
  const narrow = withGreys({ low: 0, high: 2 }, 0, 0.95);
  expect(narrow.high).toBeGreaterThan(narrow.low);
});
