/** The outline of a field where it is zero, as closed rings: for drawing what overlaps as one. */

import type { Line, Point } from "./paper";

/** Below zero inside, above zero outside; mm. */
export type Field = (place: Point) => number;

type Segment = { from: string; to: string };

/** Corners of a square of the grid, anticlockwise from lower left. */
const CORNERS = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
] as const;

/**
 * Rings round the inside of a field, anticlockwise; holes clockwise.
 *
 * Each square of a grid is crossed from the edge where the inside ends to the edge where it begins;
 * a place between two grid points is found by a straight line.
 */
export function rings(field: Field, low: Point, high: Point, step_mm: number): Line[] {
  const [columns, rows] = [0, 1].map(
    (i) => Math.ceil(((high[i] ?? 0) - (low[i] ?? 0)) / step_mm) + 1,
  );
  const placeOf = (i: number, j: number): Point => [low[0] + i * step_mm, low[1] + j * step_mm];
  const values = grid(columns ?? 0, rows ?? 0, (i, j) => field(placeOf(i, j)) || Number.EPSILON);
  const places = new Map<string, Point>();
  const next = new Map<string, string>();

  /** The name of the crossing on the edge between two grid points; it is placed once. */
  function crossing(i: number, j: number, k: number, l: number): string {
    const name = [`${i},${j}`, `${k},${l}`].sort().join(" ");
    const [a, b] = [values[j]?.[i] ?? 1, values[l]?.[k] ?? 1];
    const share = a / (a - b);
    const [p, q] = [placeOf(i, j), placeOf(k, l)];
    places.set(name, [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])]);
    return name;
  }

  for (let j = 0; j + 1 < (rows ?? 0); j += 1) {
    for (let i = 0; i + 1 < (columns ?? 0); i += 1) {
      for (const { from, to } of crossings(i, j, values, crossing)) next.set(from, to);
    }
  }
  return chained(next).map((ring) => ring.map((name) => places.get(name) ?? low));
}

type Name = (i: number, j: number, k: number, l: number) => string;

/** The one or two ways through a square: the inside lies on their left. */
function crossings(i: number, j: number, values: number[][], name: Name): Segment[] {
  const corners = CORNERS.map(([dx, dy]) => [i + dx, j + dy] as const);
  const isIn = corners.map(([x, y]) => (values[y]?.[x] ?? 1) < 0);
  const edges = corners.map(([x, y], n) => {
    const [x2, y2] = corners[(n + 1) % 4] ?? [x, y];
    const [here, there] = [isIn[n], isIn[(n + 1) % 4]];
    return here === there ? null : { leaves: here, name: name(x, y, x2, y2) };
  });
  const crossed = edges.filter((edge) => edge !== null);
  const first = crossed.findIndex((edge) => edge.leaves);
  if (first < 0) return [];
  const turned = [...crossed.slice(first), ...crossed.slice(0, first)];
  return turned.flatMap((edge, n) =>
    edge.leaves ? [{ from: edge.name, to: turned[n + 1]?.name ?? "" }] : [],
  );
}

/** Rings out of steps from name to name. */
function chained(next: Map<string, string>): string[][] {
  const all: string[][] = [];
  while (next.size > 0) {
    const [start] = next.keys();
    const ring: string[] = [];
    for (let name = start; name !== undefined && next.has(name); ) {
      ring.push(name);
      const following: string | undefined = next.get(name);
      next.delete(name);
      name = following;
    }
    all.push(ring);
  }
  return all;
}

function grid(columns: number, rows: number, value: (i: number, j: number) => number): number[][] {
  return Array.from({ length: rows }, (_, j) =>
    Array.from({ length: columns }, (_, i) => value(i, j)),
  );
}
