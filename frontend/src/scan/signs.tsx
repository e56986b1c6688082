import type { SliceOutline } from "../api/records";
import { measure } from "../i18n/figures";
import type { Frame } from "./looking";

const SCALE_MM = 20;

/** Their name stands beside their outline. */
const NAMED: readonly SliceOutline["kind"][] = ["tract", "cavity", "spot"];

/** Scan in dye, probe in ink dashes; the cut in pen, the distance asked for as dots. */
export function Outlines({
  outlines,
  px_mm,
}: {
  outlines: readonly SliceOutline[];
  px_mm: number;
}) {
  return (
    <g>
      {outlines.map((each) => {
        const end = each.kind === "floor" ? "" : "Z";
        const d = `M${each.outline_mm.map(([x, y]) => `${x} ${y}`).join("L")}${end}`;
        return (
          <g key={`${each.kind}${each.name}${each.outline_mm[0]}`}>
            <path className={`slice-outline-ground slice-${each.kind}-ground`} d={d} />
            <path className={`slice-outline slice-${each.kind}`} d={d} />
          </g>
        );
      })}
      {outlines
        .filter((each) => NAMED.includes(each.kind))
        .map((each) => {
          const side = each.kind === "cavity" ? -1 : 1;
          const [x, y] = outermost(each.outline_mm, side);
          return (
            <text
              key={`${each.kind}${each.name}${each.outline_mm[0]}`}
              className="halo slice-name"
              textAnchor={side < 0 ? "end" : "start"}
              x={x + 6 * side * px_mm}
              y={y + 5 * px_mm}
            >
              {each.name}
            </text>
          );
        })}
    </g>
  );
}

type CrossProps = { x: number; y: number; frame: Frame; px_mm: number };

/** The cross of the keyboard: thin lines that leave its middle free. */
export function Cross({ x, y, frame, px_mm }: CrossProps) {
  const gap = 12 * px_mm;
  const [right, bottom] = [frame.x + frame.width, frame.y + frame.height];
  const d = `M${frame.x} ${y}H${x - gap}M${x + gap} ${y}H${right}M${x} ${frame.y}V${y - gap}M${x} ${y + gap}V${bottom}`;
  return (
    <g>
      <path className="slice-cross-ground" d={d} />
      <path className="slice-cross" d={d} />
    </g>
  );
}

/** A bar of 20 mm, halved. */
export function Scale({ frame, px_mm }: { frame: Frame; px_mm: number }) {
  const [left, bottom] = [frame.x + 14 * px_mm, frame.y + frame.height - 14 * px_mm];
  const up = bottom - 8 * px_mm;
  const [middle, right] = [left + SCALE_MM / 2, left + SCALE_MM];
  const d = `M${left} ${up}V${bottom}H${right}V${up}M${middle} ${up}V${bottom}`;
  return (
    <g>
      <path className="slice-scale-ground" d={d} />
      <path className="slice-scale" d={d} />
      <text className="halo" x={right + 8 * px_mm} y={bottom}>
        {measure(SCALE_MM, "mm")}
      </text>
    </g>
  );
}

/** The point furthest to the right, or to the left for a side of -1. */
function outermost(
  line: readonly (readonly [number, number])[],
  side: number,
): readonly [number, number] {
  const first = line[0] ?? [0, 0];
  return line.reduce((best, point) => (side * point[0] > side * best[0] ? point : best), first);
}
