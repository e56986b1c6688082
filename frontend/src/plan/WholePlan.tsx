import type { Plan, TractMap } from "../api/records";
import { Corners } from "./Corners";
import { Cut, FlapCut } from "./Cut";
import { DiseaseMap } from "./DiseaseMap";
import { Flap } from "./Flap";
import { Landmarks } from "./Landmarks";
import { Midline } from "./Midline";
import { frameOf, type Point } from "./paper";
import { Removed } from "./Removed";
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
    ...(plan ? linesOf(plan) : []),
  ]);
  const margin = margin_mm === undefined ? {} : { margin_mm };
  return (
    <SkinPlan title={title} low={low} high={high} tallest={0.66}>
      {plan ? <Raised plan={plan} /> : null}
      <DiseaseMap map={map} {...margin} />
      {plan ? <Cuts plan={plan} /> : null}
      <Midline />
      <Landmarks analVerge={verge} />
      {plan ? <Corners corners={plan.closure.points_mm} /> : null}
    </SkinPlan>
  );
}

function Raised({ plan: { closure } }: { plan: Plan }) {
  return (
    <>
      {closure.flaps.map((flap) => (
        <Flap key={String(flap.outline_mm)} outline={flap.outline_mm} />
      ))}
      <Removed outline={closure.removed_mm} />
    </>
  );
}

function Cuts({ plan: { closure } }: { plan: Plan }) {
  return (
    <>
      <FlapCut cuts={closure.incisions_mm} />
      <Cut outline={closure.removed_mm} />
    </>
  );
}

function linesOf({ closure }: Plan): Point[] {
  return [...closure.removed_mm, ...closure.flaps.flatMap((flap) => flap.outline_mm)];
}
