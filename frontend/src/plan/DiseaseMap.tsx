import { useDiseaseShape } from "../api/queries";
import type { DiseaseShape, TractMap } from "../api/records";
import { useSay } from "../i18n/say";
import { toldText } from "../i18n/told";
import { Caption } from "./Caption";
import { ClearanceRing, Pit, Spot, Tract } from "./Disease";
import { type Line, usePaper } from "./paper";

type DiseaseMapProps = {
  caseId: string;
  /** Code of the plans that it was planned for; nothing: the map as known now. */
  code: string | null;
  pits: TractMap["pits"];
  /** Draw the distance asked for round every tract. */
  margin_mm?: number | undefined;
};

/** Everything that is known of the disease, on the skin laid flat, as the server draws it. */
export function DiseaseMap({ caseId, code, pits, margin_mm }: DiseaseMapProps) {
  const { data: shape, error } = useDiseaseShape(caseId, code, margin_mm);
  return (
    <g>
      {shape ? <Shape shape={shape} /> : <NotDrawn fault={error} />}
      {pits.map((pit) => (
        <Pit key={pit.name} place={pit.at_mm} />
      ))}
    </g>
  );
}

function Shape({ shape }: { shape: DiseaseShape }) {
  return (
    <>
      <ClearanceRing dots={shape.ring as Line} />
      <Tract rings={shape.parts as Line[]} />
      {(shape.spots as Line[]).map((ring) => (
        <Spot key={String(ring[0])} ring={ring} />
      ))}
    </>
  );
}

/** In place of the disease, so that a cut never looks as if there were none; where little stands. */
function NotDrawn({ fault }: { fault: Error | null }) {
  const t = useSay("plan");
  const { low } = usePaper();
  const words = fault
    ? t("disease_not_drawn", { sentence: toldText(fault.message) })
    : t("disease_read");
  return (
    <g className="not-drawn" aria-live="polite">
      <Caption to={[low[0], 0]} by={[8, -34]} lines={linesOf(words)} />
    </g>
  );
}

/** Words in lines that are short enough for the drawing, on a phone too. */
function linesOf(words: string): string[] {
  return words.match(/\S.{0,33}(?=\s|$)|\S+/g) ?? [];
}
