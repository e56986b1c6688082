import { useSay } from "../i18n/say";
import { usePaper } from "./paper";

/** So wide a drawing holds both sides on one line, in the longer language too; pixels. */
const ONE_LINE_PX = 390;
const LINE_PX = 17;

/** Head and both sides of the patient, in full words: on every drawing. */
export function Sides() {
  const t = useSay("plan");
  const { low, high, px_mm } = usePaper();
  const below = -low[1] + 43 * px_mm;
  const isNarrow = (high[0] - low[0]) / px_mm < ONE_LINE_PX;
  return (
    <g className="sides">
      <text x={0} y={-high[1] - 11 * px_mm} textAnchor="middle">
        {t("head")}
      </text>
      <text x={low[0]} y={below}>
        {t("left")}
      </text>
      <text x={high[0]} y={below + (isNarrow ? LINE_PX * px_mm : 0)} textAnchor="end">
        {t("right")}
      </text>
    </g>
  );
}
