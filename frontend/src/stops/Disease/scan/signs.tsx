import type { SliceOutline } from "../../../api/records";
import { measure } from "../../../i18n/figures";
import type { Frame } from "./looking";
import type { MarkKind } from "./marks";

/** A mark on the slice that is shown, mm from the middle of the picture's first pixel. */
export type DrawnMark = {
  kind: MarkKind;
  name: string;
  x: number;
  y: number;
  isChosen: boolean;
  /** It lies on this very slice and not beside it. */
  isHere: boolean;
};

const SCALE_MM = 20;

/** Where this slice cuts what was mapped: scan in dye, probe in ink dashes. */
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
        const d = `M${each.outline_mm.map(([x, y]) => `${x} ${y}`).join("L")}Z`;
        return (
          <g key={`${each.kind}${each.name}${each.outline_mm[0]}`}>
            <path className="slice-outline-ground" d={d} />
            <path className={`slice-outline slice-${each.kind}`} d={d} />
          </g>
        );
      })}
      {outlines
        .filter((each) => each.kind !== "probe")
        .map((each) => {
          const [x, y] = rightmost(each.outline_mm);
          return (
            <text
              key={`${each.kind}${each.name}${each.outline_mm[0]}`}
              className="halo slice-name"
              x={x + 6 * px_mm}
              y={y + 5 * px_mm}
            >
              {each.name}
            </text>
          );
        })}
    </g>
  );
}

/** Named on the picture also while they are not chosen; the map names the rest. */
const NAMED: readonly MarkKind[] = ["coccyx_tip", "sacral_crest", "anal_verge", "pit"];

/** What was clicked: pits as rings, landmarks in ink, ends and way-points as crosses in dye. */
export function MarkSign({ mark, px_mm }: { mark: DrawnMark; px_mm: number }) {
  const beside = mark.isHere ? "" : " scan-mark-beside";
  return (
    <g
      className={`scan-mark scan-mark-${mark.kind}${beside}`}
      transform={`translate(${mark.x} ${mark.y}) scale(${px_mm})`}
    >
      {mark.isChosen ? <circle className="mark-ring" r="16" /> : null}
      <path className="mark-ground" d={SIGNS[mark.kind]} />
      <path className="mark-sign" d={SIGNS[mark.kind]} />
      {mark.isChosen || (mark.isHere && NAMED.includes(mark.kind)) ? (
        <text className="halo mark-name" x="20" y="-8">
          {mark.name}
        </text>
      ) : null}
    </g>
  );
}

const circle = (r: number) => `M${r} 0A${r} ${r} 0 1 1 ${-r} 0A${r} ${r} 0 1 1 ${r} 0`;

const rays = [0, 45, 90, 135, 180, 225, 270, 315].map((deg) => {
  const [c, s] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
  return `M${7 * c} ${7 * s}L${11 * c} ${11 * s}`;
});

const SIGNS: Readonly<Record<MarkKind, string>> = {
  coccyx_tip: "M-9 -7H9L0 8Z",
  sacral_crest: "M-9 7H9L0 -8Z",
  anal_verge: `${circle(7)}${rays.join("")}`,
  pit: `${circle(8)}${circle(1.5)}`,
  cavity: "M0 -9L9 0L0 9L-9 0Z",
  blind_end: "M-7 -7L7 7M-7 7L7 -7",
  way_point: "M-8 0H8M0 -8V8",
  midline_bone: circle(2.5),
  presacral: circle(2.5),
  gluteal: circle(2.5),
};

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

function rightmost(line: readonly (readonly [number, number])[]): readonly [number, number] {
  return line.reduce((best, point) => (point[0] > best[0] ? point : best), line[0] ?? [0, 0]);
}
