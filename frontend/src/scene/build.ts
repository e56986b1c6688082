/** A tract map as things in space: mm of the skin frame, x to the patient's right, y to the head. */

import {
  BufferGeometry,
  type Color,
  CylinderGeometry,
  DoubleSide,
  Float32BufferAttribute,
  Group,
  Line,
  LineDashedMaterial,
  type Material,
  Matrix4,
  Mesh,
  MeshLambertMaterial,
  type Object3D,
  SphereGeometry,
  TorusGeometry,
  Vector3,
} from "three";
import type { ScanMap, Surface, Tract, TractMap } from "../api/records";

type Point = readonly number[];

/** Colours by what they mean, read from the page. */
export type Inks = { paper: Color; ink: Color; dye: Color; flap: Color; fascia: Color };

/** The parts that can be shown and hidden. */
export type Built = { whole: Group; skin: Object3D; floor: Object3D };

const AROUND = 12;
const PIT_RING_MM = 2.6;
const GRID_STEP = 3;

/** So far from the disease skin and fascia are still drawn. */
const ROOM_MM = 30;

export function built({ tract_map: map, probed }: ScanMap, inks: Inks): Built {
  const whole = new Group();
  const box = roomOf(map);
  const skin = surface(map.skin, box, see(inks.flap, 0.32));
  const floor = surface(map.floor, box, see(inks.fascia, 0.22));
  const dye = new MeshLambertMaterial({ color: inks.dye });
  whole.add(skin, floor);
  for (const tract of map.tracts) {
    if (tract.origin === "scan") whole.add(tube(tract, dye));
  }
  for (const probe of probed) whole.add(arrow(probe, inks.ink));
  for (const cavity of map.cavities)
    whole.add(ellipsoid(cavity.centre_mm, cavity.half_axes_mm, dye));
  for (const spot of map.spots) whole.add(wireBall(spot.centre_mm, spot.radius_mm, inks.dye));
  for (const pit of map.pits) whole.add(ring(pit.position_mm, inks.ink));
  whole.add(...endsApart(map, probed, inks.ink));
  return { whole, skin, floor };
}

/** Give back the memory that the drawing holds. */
export function discard(whole: Object3D): void {
  whole.traverse((part) => {
    const { geometry, material } = part as Partial<Mesh>;
    geometry?.dispose();
    for (const one of [material ?? []].flat() as Material[]) one.dispose();
  });
}

type Room = { low: Vector3; high: Vector3 };

function roomOf(map: TractMap): Room {
  const points = [
    ...map.tracts.flatMap((tract) => tract.centre_mm),
    ...map.cavities.map((cavity) => cavity.centre_mm),
    ...map.pits.map((pit) => pit.position_mm),
  ].map(vector);
  const low = points.reduce((a, b) => a.clone().min(b), points[0] ?? new Vector3());
  const high = points.reduce((a, b) => a.clone().max(b), points[0] ?? new Vector3());
  return { low: low.addScalar(-ROOM_MM), high: high.addScalar(ROOM_MM) };
}

/** A height map as a sheet, as far as the room goes. */
function surface({ x_mm, y_mm, z_mm }: Surface, { low, high }: Room, material: Material): Mesh {
  const columns = picked(x_mm, low.x, high.x);
  const rows = picked(y_mm, low.y, high.y);
  const places = rows.flatMap((j) =>
    columns.flatMap((i) => [x_mm[i] ?? 0, y_mm[j] ?? 0, z_mm[j]?.[i] ?? 0]),
  );
  const faces: number[] = [];
  for (let j = 0; j + 1 < rows.length; j++) {
    for (let i = 0; i + 1 < columns.length; i++) {
      const a = j * columns.length + i;
      const b = a + columns.length;
      faces.push(a, a + 1, b + 1, a, b + 1, b);
    }
  }
  const sheet = new BufferGeometry();
  sheet.setAttribute("position", new Float32BufferAttribute(places, 3));
  sheet.setIndex(faces);
  sheet.computeVertexNormals();
  return new Mesh(sheet, material);
}

/** Every third line of a grid between two places, at least two. */
function picked(all: readonly number[], low: number, high: number): number[] {
  const inside = all.map((_, n) => n).filter((n) => (all[n] ?? 0) >= low && (all[n] ?? 0) <= high);
  const some = inside.filter((_, n) => n % GRID_STEP === 0 || n === inside.length - 1);
  return some.length >= 2 ? some : [0, all.length - 1];
}

/** A tube of changing width: balls, and cones between them. */
function tube({ centre_mm, radius_mm }: Tract, material: Material): Group {
  const parts = new Group();
  const points = centre_mm.map(vector);
  points.forEach((point, n) => {
    const radius = radius_mm[n] ?? 0;
    const ball = new Mesh(new SphereGeometry(radius, AROUND, AROUND / 2), material);
    ball.position.copy(point);
    parts.add(ball);
    const next = points[n + 1];
    if (next) parts.add(cone(point, next, radius, radius_mm[n + 1] ?? radius, material));
  });
  return parts;
}

function cone(a: Vector3, b: Vector3, from: number, to: number, material: Material): Mesh {
  const along = b.clone().sub(a);
  const part = new Mesh(new CylinderGeometry(to, from, along.length(), AROUND, 1, true), material);
  part.position.copy(a).addScaledVector(along, 0.5);
  part.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), along.normalize());
  return part;
}

/** What the probe felt: its line and a head at the blind end. */
function arrow({ centre_mm }: Tract, ink: Color): Group {
  const points = centre_mm.map(vector);
  const [tip, before] = [points.at(-1) as Vector3, points.at(-2) as Vector3];
  const solid = new MeshLambertMaterial({ color: ink });
  const parts = new Group();
  points.slice(1).forEach((point, n) => {
    parts.add(cone(points[n] as Vector3, point, 0.5, 0.5, solid));
  });
  const back = tip.clone().addScaledVector(tip.clone().sub(before).normalize(), -4);
  parts.add(cone(back, tip, 1.6, 0.01, solid));
  return parts;
}

function ellipsoid(centre: Point, axes: readonly Point[], material: Material): Mesh {
  const ball = new Mesh(new SphereGeometry(1, 2 * AROUND, AROUND), material);
  const [a, b, c] = axes.map(vector) as [Vector3, Vector3, Vector3];
  ball.applyMatrix4(new Matrix4().makeBasis(a, b, c).setPosition(vector(centre)));
  return ball;
}

/** A spot that joins nothing: drawn as a net, so that it never looks like a tract. */
function wireBall(centre: Point, radius: number, dye: Color): Mesh {
  const net = new MeshLambertMaterial({ color: dye, wireframe: true });
  const ball = new Mesh(new SphereGeometry(radius, AROUND / 2, AROUND / 3), net);
  ball.position.copy(vector(centre));
  return ball;
}

function ring(at: Point, ink: Color): Mesh {
  const drawn = new Mesh(
    new TorusGeometry(PIT_RING_MM, 0.45, AROUND / 2, 2 * AROUND),
    new MeshLambertMaterial({ color: ink }),
  );
  drawn.position.copy(vector(at));
  return drawn;
}

/** A dashed line between the blind ends that probe and scan give to the same tract. */
function endsApart(map: TractMap, probed: readonly Tract[], ink: Color): Line[] {
  return map.disagreements.flatMap(({ tract }) => {
    const seen = map.tracts.find((each) => each.name === tract)?.centre_mm.at(-1);
    const felt = probed.find((each) => each.name === tract)?.centre_mm.at(-1);
    if (!seen || !felt) return [];
    const between = new BufferGeometry().setFromPoints([vector(seen), vector(felt)]);
    const dashes = new LineDashedMaterial({ color: ink, dashSize: 1, gapSize: 0.8 });
    return [new Line(between, dashes).computeLineDistances()];
  });
}

function see(color: Color, opacity: number): MeshLambertMaterial {
  return new MeshLambertMaterial({
    color,
    opacity,
    transparent: true,
    side: DoubleSide,
    depthWrite: false,
  });
}

function vector(point: Point): Vector3 {
  return new Vector3(point[0], point[1], point[2]);
}
