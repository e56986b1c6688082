/** Places along a drawn line, for ticks, captions and arrow heads. */

import type { Line, Point } from "./paper";

/** A place on a line and its direction there, a unit vector. */
export type Station = { place: Point; along: Point };

export function apart(a: Point, b: Point): number {
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

export function lengthOf(line: Line): number {
  return pairs(line).reduce((sum, [a, b]) => sum + apart(a, b), 0);
}

/** Places about `every` mm apart, the first and last half that far from the ends. */
export function stations(line: Line, every: number): Station[] {
  const whole = lengthOf(line);
  const count = Math.max(1, Math.round(whole / every));
  return Array.from({ length: count }, (_, i) => stationAt(line, ((i + 0.5) * whole) / count));
}

/** The place after so many mm of a line. */
export function stationAt(line: Line, distance: number): Station {
  let left = distance;
  for (const [a, b] of pairs(line)) {
    const length = apart(a, b);
    if (length > 0 && left <= length) return stationOn(a, b, left / length);
    left -= length;
  }
  const [a, b] = pairs(line).at(-1) ?? [ORIGIN, ORIGIN];
  return stationOn(a, b, 1);
}

export function middleOf(line: Line): Point {
  return stationAt(line, lengthOf(line) / 2).place;
}

/** The mean of the corners: the side on which letters do not stand. */
export function centreOf(points: Line): Point {
  const n = Math.max(1, points.length);
  const sum = points.reduce<Point>((s, p) => [s[0] + p[0], s[1] + p[1]], ORIGIN);
  return [sum[0] / n, sum[1] / n];
}

export function pairs(line: Line): [Point, Point][] {
  return line.slice(1).map((point, i) => [line[i] ?? point, point]);
}

const ORIGIN: Point = [0, 0];

function stationOn(a: Point, b: Point, share: number): Station {
  const length = apart(a, b) || 1;
  return {
    place: [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])],
    along: [(b[0] - a[0]) / length, (b[1] - a[1]) / length],
  };
}
