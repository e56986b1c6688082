import type { Plan, TractMap } from "../api/records";
import { Corners } from "./Corners";
import { DiseaseMap } from "./DiseaseMap";
import { Landmarks } from "./Landmarks";
import { Midline } from "./Midline";
import { cornersOf, PlanCuts, PlanSkin } from "./PlanCuts";
import { frameOf, type Point } from "./paper";
import { SkinPlan } from "./SkinPlan";

type WholePlanProps = {
  title: string;
  map: TractMap;
  /** The plan whose cuts are drawn; nothing: the disease alone. */
  plan?: Plan | undefined;
  /** Draw the distance asked for round the disease. */
  margin_mm?: number;
};

/** The disease on the skin laid flat, and the cuts of one plan over it. */
export function WholePlan({ title, map, plan, margin_mm }: WholePlanProps) {
  const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
  const pits = map.pits.map((pit): Point => [pit.at_mm[0], pit.at_mm[1]]);
  const { low, high } = frameOf([
    verge,
    [-40, 0],
    [40, 80],
    ...pits,
    ...(plan ? cornersOf(plan) : []),
  ]);
  const margin = margin_mm === undefined ? {} : { margin_mm };
  return (
    <SkinPlan title={title} low={low} high={high} tallest={0.66}>
      {plan ? <PlanSkin plan={plan} /> : null}
      <DiseaseMap map={map} {...margin} />
      {plan ? <PlanCuts plan={plan} /> : null}
      <Midline />
      <Landmarks analVerge={verge} />
      {plan ? <Corners corners={plan.closure.points_mm} /> : null}
    </SkinPlan>
  );
}
