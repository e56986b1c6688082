import { useSay } from "../i18n/say";
import { usePaper } from "./paper";

/** Head and both sides of the patient, in full words: on every drawing. */
export function Sides() {
  const t = useSay("plan");
  const { low, high, px_mm } = usePaper();
  const below = -low[1] + 43 * px_mm;
  return (
    <g className="sides">
      <text x={0} y={-high[1] - 11 * px_mm} textAnchor="middle">
        {t("head")}
      </text>
      <text x={low[0]} y={below}>
        {t("left")}
      </text>
      <text x={high[0]} y={below} textAnchor="end">
        {t("right")}
      </text>
    </g>
  );
}
