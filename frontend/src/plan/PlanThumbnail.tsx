import type { Plan } from "../api/records";
import { toldText } from "../i18n/told";
import { Midline } from "./Midline";
import { cornersOf, PlanCuts, PlanSkin } from "./PlanCuts";
import { frameOf } from "./paper";
import { SkinPlan } from "./SkinPlan";

/** The cuts of one plan, small. */
export function PlanThumbnail({ plan }: { plan: Plan }) {
  const { low, high } = frameOf(cornersOf(plan));
  return (
    <SkinPlan small title={toldText(plan.closure.name)} low={low} high={high}>
      <PlanSkin plan={plan} />
      <PlanCuts plan={plan} />
      <Midline />
    </SkinPlan>
  );
}
