import { useSay } from "../i18n/say";
import { type Paper, usePaper } from "./paper";

/** So wide a drawing holds both sides on one line, in the longer language too; pixels. */
const ONE_LINE_PX = 390;
const LINE_PX = 17;

/** How much room the second side needs below the first: none where both stand on one line. */
export function secondLine_px({ low, high, px_mm }: Omit<Paper, "id">): number {
  return (high[0] - low[0]) / px_mm < ONE_LINE_PX ? LINE_PX : 0;
}

/** Head and both sides of the patient, in full words: on every drawing. */
export function Sides() {
  const t = useSay("plan");
  const paper = usePaper();
  const { low, high, px_mm } = paper;
  const below = -low[1] + 43 * px_mm;
  return (
    <g className="sides">
      <text x={0} y={-high[1] - 11 * px_mm} textAnchor="middle">
        {t("head")}
      </text>
      <text x={low[0]} y={below}>
        {t("left")}
      </text>
      <text x={high[0]} y={below + secondLine_px(paper) * px_mm} textAnchor="end">
        {t("right")}
      </text>
    </g>
  );
}
