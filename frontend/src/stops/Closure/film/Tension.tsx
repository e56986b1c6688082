import type { TensionBand } from "../../../api/records";
import { throughAll, usePaper } from "../../../plan/paper";

/** Pixels between the lines of a band and how they lie: closer means more. */
const HATCHES = [
  { step_px: 9, turn_deg: 0, dots: true },
  { step_px: 11, turn_deg: 45, dots: false },
  { step_px: 7.5, turn_deg: 135, dots: false },
  { step_px: 4.5, turn_deg: 45, dots: false },
] as const;

/** Where the skin is less or more tense than before: one pattern a band, from least to most. */
export function Tension({ bands }: { bands: readonly TensionBand[] }) {
  const fill = useBandFill();
  return (
    <g>
      <BandPatterns />
      {bands.map((band, i) => (
        <path
          key={band.low_ratio}
          className={`film-tension film-tension-${i}`}
          d={throughAll(band.rings_mm, "closed")}
          fillRule="evenodd"
          fill={fill(i)}
        />
      ))}
    </g>
  );
}

/** The patterns of the bands; they need a place in each drawing that uses them. */
export function BandPatterns() {
  const { id, px_mm } = usePaper();
  return (
    <defs>
      {HATCHES.map(({ step_px, turn_deg, dots }, i) => (
        <pattern
          key={`${step_px}`}
          id={`${id}band${i}`}
          width={step_px}
          height={step_px}
          patternUnits="userSpaceOnUse"
          patternTransform={`scale(${px_mm}) rotate(${turn_deg})`}
        >
          {dots ? (
            <circle cx={step_px / 2} cy={step_px / 2} r="1.2" className="film-dot" />
          ) : (
            <path d={`M0 0V${step_px}`} className="film-hatch" />
          )}
        </pattern>
      ))}
    </defs>
  );
}

/** How band number so-and-so is filled in this drawing. */
export function useBandFill(): (band: number) => string {
  const { id } = usePaper();
  return (band) => `url(#${id}band${Math.min(band, HATCHES.length - 1)})`;
}
