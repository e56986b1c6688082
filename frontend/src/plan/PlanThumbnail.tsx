import type { Plan } from "../api/records";
import { Cut, FlapCut } from "./Cut";
import { Flap } from "./Flap";
import { Midline } from "./Midline";
import { frameOf } from "./paper";
import { Removed } from "./Removed";
import { SkinPlan } from "./SkinPlan";

/** The cuts of one plan, small. */
export function PlanThumbnail({ plan }: { plan: Plan }) {
  const { closure } = plan;
  const lines = [closure.removed_mm, ...closure.flaps.map((flap) => flap.outline_mm)];
  const { low, high } = frameOf(lines.flat());
  return (
    <SkinPlan small title={closure.name} low={low} high={high}>
      {closure.flaps.map((flap) => (
        <Flap key={String(flap.outline_mm)} outline={flap.outline_mm} />
      ))}
      <Removed outline={closure.removed_mm} />
      <FlapCut cuts={closure.incisions_mm} />
      <Cut outline={closure.removed_mm} />
      <Midline />
    </SkinPlan>
  );
}
