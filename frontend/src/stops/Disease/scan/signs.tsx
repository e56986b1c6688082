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
      {outlines.map((each) => (
        <path
          key={`${each.kind}${each.name}${each.outline_mm[0]}`}
          className={`slice-outline slice-${each.kind}`}
          d={`M${each.outline_mm.map(([x, y]) => `${x} ${y}`).join("L")}Z`}
        />
      ))}
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

/** What was clicked: pits as rings, landmarks in ink, ends and way-points as crosses in dye. */
export function MarkSign({ mark, px_mm }: { mark: DrawnMark; px_mm: number }) {
  const classes = ["mark", `mark-${mark.kind}`];
  if (!mark.isHere) classes.push("mark-beside");
  return (
    <g className={classes.join(" ")} transform={`translate(${mark.x} ${mark.y}) scale(${px_mm})`}>
      {mark.isChosen ? <circle className="mark-chosen" r="15" /> : null}
      <Sign kind={mark.kind} />
      {mark.isHere || mark.isChosen ? (
        <text className="halo mark-name" x="18" y="-8">
          {mark.name}
        </text>
      ) : null}
    </g>
  );
}

function Sign({ kind }: { kind: MarkKind }) {
  if (kind === "coccyx_tip") return <path className="mark-solid" d="M-8 -7H8L0 7Z" />;
  if (kind === "sacral_crest") return <path className="mark-solid" d="M-8 7H8L0 -7Z" />;
  if (kind === "anal_verge") return <path className="mark-line" d={RAYS} />;
  if (kind === "pit") {
    return (
      <>
        <circle className="mark-line" r="7" />
        <circle className="mark-solid" r="2.4" />
      </>
    );
  }
  if (kind === "cavity") return <path className="mark-line" d="M0 -8L8 0L0 8L-8 0Z" />;
  if (kind === "blind_end") return <path className="mark-line" d="M-7 -7L7 7M-7 7L7 -7" />;
  if (kind === "way_point") return <path className="mark-line" d="M-7 0H7M0 -7V7" />;
  return <circle className="mark-solid" r="4" />;
}

const RAYS = `M6 0A6 6 0 1 1 -6 0A6 6 0 1 1 6 0${[0, 45, 90, 135, 180, 225, 270, 315]
  .map((deg) => {
    const [c, s] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
    return `M${6 * c} ${6 * s}L${10 * c} ${10 * s}`;
  })
  .join("")}`;

type CrossProps = { x: number; y: number; frame: Frame; px_mm: number };

/** The cross of the keyboard: thin lines that leave its middle free. */
export function Cross({ x, y, frame, px_mm }: CrossProps) {
  const gap = 12 * px_mm;
  const [right, bottom] = [frame.x + frame.width, frame.y + frame.height];
  return (
    <path
      className="slice-cross"
      d={`M${frame.x} ${y}H${x - gap}M${x + gap} ${y}H${right}M${x} ${frame.y}V${y - gap}M${x} ${y + gap}V${bottom}`}
    />
  );
}

/** Ticks of 10 mm along two edges, and a bar of 20 mm. */
export function Scale({ frame, px_mm }: { frame: Frame; px_mm: number }) {
  const [left, bottom] = [frame.x + 12 * px_mm, frame.y + frame.height - 14 * px_mm];
  return (
    <g>
      <path className="slice-scale-ground" d={`M${left} ${bottom}H${left + SCALE_MM}`} />
      <path
        className="slice-scale"
        d={`M${left} ${bottom - 5 * px_mm}V${bottom}H${left + SCALE_MM}V${bottom - 5 * px_mm}M${left + SCALE_MM / 2} ${bottom - 4 * px_mm}V${bottom}`}
      />
      <text className="halo second" x={left + 4 * px_mm} y={bottom - 9 * px_mm}>
        {measure(SCALE_MM, "mm")}
      </text>
    </g>
  );
}

function rightmost(line: readonly (readonly [number, number])[]): readonly [number, number] {
  return line.reduce((best, point) => (point[0] > best[0] ? point : best), line[0] ?? [0, 0]);
}
