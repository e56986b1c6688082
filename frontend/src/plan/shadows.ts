/**
 * The disease as rings on the skin laid flat, for drawing it.
 *
 * A place below the skin is drawn where the skin above it lies: across the cleft along the curve of
 * the skin, from the midline. Nothing is measured with these rings.
 */

import type { Spot, Surface, Tract, TractMap } from "../api/records";
import { type Field, rings } from "./outlines";
import type { Line, Point } from "./paper";

type Place = readonly [number, number, number];
type Cavity = TractMap["cavities"][number];

const STEP_MM = 0.5;
const DIRECTIONS = 48;

/** Where (x, y), seen from above, lies on the skin laid flat. */
export type Flat = (x: number, y: number) => Point;

/** Lengths along the skin from the midline, at constant height above the coccyx tip. */
export function flatOf(skin: Surface): Flat {
  return (x, y) => {
    const steps = Math.max(1, Math.ceil(Math.abs(x) / STEP_MM));
    const dx = x / steps;
    const heights = Array.from({ length: steps + 1 }, (_, i) => heightAt(skin, i * dx, y));
    const arcs = heights.slice(1).map((z, i) => Math.hypot(dx, z - (heights[i] ?? z)));
    return [Math.sign(x) * arcs.reduce((sum, arc) => sum + arc, 0), y];
  };
}

/** The outline of everything that is joined to the disease, widened by a margin. */
export function diseaseRings(map: TractMap, flat: Flat, wider_mm = 0): Line[] {
  const parts = [...map.tracts.map(tractField), ...map.cavities.map(cavityField)];
  const points = [...map.tracts.flatMap(tractEnds), ...map.cavities.flatMap(cavityEnds)];
  if (points.length === 0) return [];
  const [low, high] = around(points, wider_mm + 2 * STEP_MM);
  const field: Field = (place) => Math.min(...parts.map((part) => part(place))) - wider_mm;
  return rings(field, low, high, STEP_MM).map((ring) => ring.map(([x, y]) => flat(x, y)));
}

export function spotRing({ centre_mm: [x, y], radius_mm }: Spot, flat: Flat): Line {
  return Array.from({ length: DIRECTIONS }, (_, i) => {
    const angle = (2 * Math.PI * i) / DIRECTIONS;
    return flat(x + radius_mm * Math.cos(angle), y + radius_mm * Math.sin(angle));
  });
}

/** Distance from the outer wall of a tract, seen from above. */
function tractField({ centre_mm, radius_mm }: Tract): Field {
  const places = centre_mm as readonly Place[];
  return (place) => {
    const pieces = places.map((b, i) => {
      const before = Math.max(0, i - 1);
      const a = places[before] ?? b;
      const share = shareAlong(a, b, place);
      const radius = mixed(radius_mm[before] ?? 0, radius_mm[i] ?? 0, share);
      return (
        Math.hypot(mixed(a[0], b[0], share) - place[0], mixed(a[1], b[1], share) - place[1]) -
        radius
      );
    });
    return Math.min(...pieces);
  };
}

/** About the distance from a cavity seen from above: an ellipse, by its width in that direction. */
function cavityField({ centre_mm: [x, y], half_axes_mm }: Cavity): Field {
  const shape = half_axes_mm.reduce(
    (sum, [u, v]) => ({ xx: sum.xx + u * u, xy: sum.xy + u * v, yy: sum.yy + v * v }),
    { xx: 0, xy: 0, yy: 0 },
  );
  const area = shape.xx * shape.yy - shape.xy * shape.xy;
  return ([px, py]) => {
    const [dx, dy] = [px - x, py - y];
    const level = Math.sqrt(
      (shape.yy * dx * dx - 2 * shape.xy * dx * dy + shape.xx * dy * dy) / area,
    );
    const far = Math.hypot(dx, dy);
    return level === 0 ? -Math.sqrt(Math.min(shape.xx, shape.yy)) : far - far / level;
  };
}

function tractEnds({ centre_mm, radius_mm }: Tract): Point[] {
  return (centre_mm as readonly Place[]).flatMap(([x, y], i) => cornersAt(x, y, radius_mm[i] ?? 0));
}

function cavityEnds({ centre_mm: [x, y], half_axes_mm }: Cavity): Point[] {
  return cornersAt(x, y, Math.max(...half_axes_mm.map((axis) => Math.hypot(...axis))));
}

function cornersAt(x: number, y: number, reach: number): Point[] {
  return [
    [x - reach, y - reach],
    [x + reach, y + reach],
  ];
}

function around(points: readonly Point[], room: number): [Point, Point] {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  return [
    [Math.min(...xs) - room, Math.min(...ys) - room],
    [Math.max(...xs) + room, Math.max(...ys) + room],
  ];
}

/** How far along from a to b the foot of a place lies, 0 to 1. */
function shareAlong(a: Place, b: Place, [x, y]: Point): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const square = dx * dx + dy * dy;
  return square === 0 ? 1 : clamped(((x - a[0]) * dx + (y - a[1]) * dy) / square);
}

/** Height of the skin between its grid points, linear in both directions. */
function heightAt(skin: Surface, x: number, y: number): number {
  const across = between(skin.x_mm, x);
  const along = between(skin.y_mm, y);
  const row = (j: number) => {
    const heights = skin.z_mm[j] ?? [];
    return mixed(heights[across.index] ?? 0, heights[across.index + 1] ?? 0, across.share);
  };
  return mixed(row(along.index), row(along.index + 1), along.share);
}

function between(ascending: readonly number[], value: number): { index: number; share: number } {
  const after = ascending.findIndex((other) => other > value);
  const past = after < 0 ? ascending.length : after;
  const index = Math.min(Math.max(0, ascending.length - 2), Math.max(0, past - 1));
  const [from = 0, to = 1] = [ascending[index], ascending[index + 1]];
  return { index, share: clamped((value - from) / (to - from)) };
}

function mixed(a: number, b: number, share: number): number {
  return a + share * (b - a);
}

function clamped(share: number): number {
  return Math.min(1, Math.max(0, share));
}
