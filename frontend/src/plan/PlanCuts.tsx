import type { Plan } from "../api/records";
import { Cut, FlapCut } from "./Cut";
import { Flap } from "./Flap";
import type { Point } from "./paper";
import { Removed } from "./Removed";

/** A plan, or anything else that has cuts to draw. */
export type Drawn = Pick<Plan, "closure">;

/** The skin that one plan moves and takes out; it lies under everything else. */
export function PlanSkin({ plan: { closure } }: { plan: Drawn }) {
  return (
    <>
      {closure.flaps.map((flap) => (
        <Flap key={String(flap.outline_mm)} outline={flap.outline_mm} />
      ))}
      <Removed outline={closure.removed_mm} />
    </>
  );
}

/** The cuts of one plan. */
export function PlanCuts({ plan: { closure } }: { plan: Drawn }) {
  return (
    <>
      <FlapCut cuts={closure.incisions_mm} />
      <Cut outline={closure.removed_mm} />
    </>
  );
}

/** Every corner of both, to know how much of the skin to show. */
export function cornersOf({ closure }: Drawn): Point[] {
  return [...closure.removed_mm, ...closure.flaps.flatMap((flap) => flap.outline_mm)];
}
