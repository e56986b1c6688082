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
