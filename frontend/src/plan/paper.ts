/**
 * The sheet a drawing lies on: millimetres of the skin frame, y towards the head.
 *
 * SVG counts y downwards; that turn is made here and nowhere else.
 */

import { createContext, useContext } from "react";

/** (s, y) in mm: to the patient's right, and towards the head. */
export type Point = readonly [number, number];

export type Line = readonly Point[];

export type Paper = {
  /** Lower left corner of what is shown, mm. */
  low: Point;
  /** Its upper right corner, mm. */
  high: Point;
  /** Millimetres in one pixel of the screen: sizes of letters and signs keep to it. */
  px_mm: number;
  /** Prefix of the ids of this drawing's patterns. */
  id: string;
};

export const PaperContext = createContext<Paper>({
  low: [-50, -60],
  high: [50, 70],
  px_mm: 0.25,
  id: "none",
});

export function usePaper(): Paper {
  return useContext(PaperContext);
}

const TEN_MM = 10;

/** Lower left and upper right corner of whole tens round what is drawn, with some room. */
export function frameOf(points: Line, room_mm = 4): { low: Point; high: Point } {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const down = (mm: number[]) => TEN_MM * Math.floor((Math.min(...mm) - room_mm) / TEN_MM);
  const up = (mm: number[]) => TEN_MM * Math.ceil((Math.max(...mm) + room_mm) / TEN_MM);
  return { low: [down(xs), down(ys)], high: [up(xs), up(ys)] };
}

/** The `d` of a line through points. */
export function through(line: Line, closed: "closed" | "open" = "open"): string {
  if (line.length === 0) return "";
  const places = line.map((point) => `${tidy(point[0])} ${tidy(-point[1])}`);
  return `M${places.join("L")}${closed === "closed" ? "Z" : ""}`;
}

/** The `d` of several lines. */
export function throughAll(lines: readonly Line[], closed: "closed" | "open" = "open"): string {
  return lines.map((line) => through(line, closed)).join("");
}

/** Hundredths of a millimetre are finer than any screen. */
function tidy(mm: number): number {
  return Math.round(100 * mm) / 100 + 0;
}
