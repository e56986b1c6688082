import type { ReactNode } from "react";
import { useSay } from "../i18n/say";
import { Fold } from "../shell/Fold";
import { CornerPath, Probe } from "./Arrow";
import { Cut, Earlier, FlapCut } from "./Cut";
import { ClearanceRing, Pit, Spot, Tract } from "./Disease";
import { Flap } from "./Flap";
import { stations } from "./lines";
import { Measure } from "./Measure";
import { Patterns } from "./Patterns";
import { type Line, PaperContext } from "./paper";
import { Removed } from "./Removed";
import { Seam } from "./Seam";
import { Undermined } from "./Undermined";
import "./Legend.css";

/** What the legend can explain, in the order of reading. */
export const SIGNS = [
  "cut",
  "flap_cut",
  "removed",
  "flap",
  "seam",
  "undermined",
  "tract",
  "spot",
  "pit",
  "probe",
  "clearance",
  "midline",
  "landmarks",
  "measure",
  "earlier",
  "path",
] as const;

export type Sign = (typeof SIGNS)[number];

const PX_MM = 0.25;
const PAPER = { low: [-20, -6], high: [20, 6], px_mm: PX_MM, id: "legend" } as const;

/** The drawing language; only the signs that a drawing uses, if they are named. */
export function Legend({ signs = SIGNS }: { signs?: readonly Sign[] }) {
  const t = useSay("plan");
  return (
    <dl className="legend">
      {signs.map((sign) => (
        <div key={sign} className="legend-row">
          <dt>
            <Sample sign={sign} />
            <b>{t(`legend.${sign}.name`)}</b>
          </dt>
          <dd className="small">{t(`legend.${sign}.meaning`)}</dd>
        </div>
      ))}
    </dl>
  );
}

/** The same behind a row under a drawing. */
export function FoldedLegend({ signs }: { signs: readonly Sign[] }) {
  const t = useSay("plan");
  return (
    <Fold title={t("legend.title")}>
      <Legend signs={signs} />
    </Fold>
  );
}

function Sample({ sign }: { sign: Sign }) {
  const paper = { ...PAPER, id: `legend-${sign}-` };
  return (
    <PaperContext value={paper}>
      <svg
        className="plan"
        width={40 / PX_MM}
        height={12 / PX_MM}
        viewBox="-20 -6 40 12"
        aria-hidden="true"
        style={{ "--px": PX_MM } as React.CSSProperties}
      >
        <Patterns />
        {SAMPLES[sign]}
      </svg>
    </PaperContext>
  );
}

const ACROSS: Line = [
  [-18, 0],
  [18, 0],
];

const FIELD: Line = [
  [-18, -5],
  [18, -5],
  [18, 5],
  [-18, 5],
];

const ARC: Line = Array.from({ length: 13 }, (_, i) => {
  const angle = Math.PI * (0.85 - (0.7 * i) / 12);
  return [16 * Math.cos(angle), 16 * Math.sin(angle) - 11] as const;
});

const SAMPLES: Record<Sign, ReactNode> = {
  cut: <Cut outline={ACROSS} />,
  flap_cut: <FlapCut cuts={[ACROSS]} />,
  removed: <Removed outline={FIELD} />,
  flap: <Flap outline={FIELD} />,
  seam: <Seam line={ACROSS} pull="middle" />,
  undermined: <Undermined zone={FIELD} />,
  tract: <Tract rings={[pill(15, 3.5)]} />,
  spot: <Spot ring={pill(5, 3)} />,
  pit: <Pit place={[0, 0]} />,
  probe: <Probe from={[-16, 0]} to={[16, 0]} />,
  clearance: <ClearanceRing dots={evenly(pill(14, 4.5))} />,
  midline: <path className="midline" d="M-18 0H18" />,
  landmarks: (
    <>
      <circle className="verge" cx="-8" cy="0" r="3" />
      <path
        className="verge"
        d="M-8 -5v1.6M-8 5v-1.6M-13 0h1.6M-3 0h-1.6M-11.6 -3.6l1.2 1.2M-4.4 3.6l-1.2 -1.2M-4.4 -3.6l-1.2 1.2M-11.6 3.6l1.2 -1.2"
      />
      <path className="coccyx" d="M6 -2H11L8.5 2Z" />
    </>
  ),
  measure: (
    <Measure from={[-16, -3]} to={[16, -3]}>
      20 mm
    </Measure>
  ),
  earlier: (
    <Earlier
      outline={[
        [-16, 3],
        [16, 5],
        [12, -5],
        [-11, -4.5],
      ]}
    />
  ),
  path: <CornerPath line={ARC} />,
};

/** Places at one distance round a closed line. */
function evenly(ring: Line): Line {
  return stations([...ring, ...ring.slice(0, 1)], 1.8).map(({ place }) => place);
}

/** A rounded strip along x. */
function pill(half_mm: number, radius_mm: number): Line {
  const end = half_mm - radius_mm;
  return Array.from({ length: 48 }, (_, i) => {
    const angle = (2 * Math.PI * (i + 0.5)) / 48;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    return [Math.sign(c) * end + radius_mm * c, radius_mm * s] as const;
  });
}
