import type { Plan, PlanSet } from "../api/records";
import { Corners } from "./Corners";
import { DiseaseMap } from "./DiseaseMap";
import { Landmarks } from "./Landmarks";
import { Midline } from "./Midline";
import { cornersOf, PlanCuts, PlanSkin } from "./PlanCuts";
import { frameOf, type Point } from "./paper";
import { SkinPlan } from "./SkinPlan";

type WholePlanProps = {
  title: string;
  caseId: string;
  plans: PlanSet;
  plan: Plan;
};

/** The disease on the skin laid flat, and the cuts of one plan over it. */
export function WholePlan({ title, caseId, plans, plan }: WholePlanProps) {
  const { code, tract_map: map } = plans;
  const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
  const pits = map.pits.map((pit): Point => [pit.at_mm[0], pit.at_mm[1]]);
  const { low, high } = frameOf([verge, [-40, 0], [40, 80], ...pits, ...cornersOf(plan)]);
  return (
    <SkinPlan title={title} low={low} high={high} tallest={0.66}>
      <PlanSkin plan={plan} />
      <DiseaseMap caseId={caseId} code={code} pits={map.pits} />
      <PlanCuts plan={plan} />
      <Midline />
      <Landmarks analVerge={verge} />
      <Corners corners={plan.closure.points_mm} />
    </SkinPlan>
  );
}
