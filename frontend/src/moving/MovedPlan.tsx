import { useMemo } from "react";
import type { HandlePoint, Plan, PlanSet, Preview, TractMap } from "../api/records";
import { useSay } from "../i18n/say";
import { Corners } from "../plan/Corners";
import { BindingWall, Cut, Earlier } from "../plan/Cut";
import { DiseaseMap } from "../plan/DiseaseMap";
import { Handle } from "../plan/Handle";
import { Landmarks } from "../plan/Landmarks";
import { FoldedLegend, type Sign } from "../plan/Legend";
import { Midline } from "../plan/Midline";
import { cornersOf, type Drawn, PlanCuts, PlanSkin } from "../plan/PlanCuts";
import { frameOf, type Line, type Point } from "../plan/paper";
import { Removed } from "../plan/Removed";
import { SkinPlan } from "../plan/SkinPlan";
import type { Moving } from "./useMoving";

type MovedPlanProps = {
  title: string;
  caseId: string;
  plans: PlanSet;
  /** As planned; it stays as a thin line once something is moved. */
  plan: Plan;
  moving: Moving;
  margin_mm?: number;
  /** The excision alone, without the flap, with the wall that comes nearest to the disease. */
  cutOnly?: boolean;
};

const OF_THE_CUT: readonly Sign[] = [
  ...(["cut", "removed", "tract", "spot", "pit", "clearance", "midline", "landmarks"] as const),
  "earlier",
];

const OF_THE_PLAN: readonly Sign[] = ["cut", "flap_cut", "flap", ...OF_THE_CUT.slice(1)];

const OF_THE_FLAP = ["raise", "tip"];

/** One plan with its handles: the drawing follows what the server says of each place. */
export function MovedPlan(props: MovedPlanProps) {
  const { title, caseId, plans, plan, moving, margin_mm, cutOnly } = props;
  const { code, tract_map: map } = plans;
  const { shown, preview, isMoved } = moving;
  const handles = (preview?.handles ?? []).filter(
    (handle) => !(cutOnly && OF_THE_FLAP.includes(handle.act)),
  );
  const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
  const { low, high } = useFrame(map, plan, preview, cutOnly ?? false);
  const wall = cutOnly || isTooNear(shown) ? bindingWall(shown) : null;
  const corners = Object.entries(shown.closure.points_mm).filter(
    ([name]) => !cutOnly || !["E", "F"].includes(name),
  );
  return (
    <>
      <SkinPlan title={title} low={low} high={high} tallest={0.7}>
        {cutOnly ? <Removed outline={shown.closure.removed_mm} /> : <PlanSkin plan={shown} />}
        <DiseaseMap caseId={caseId} code={code} pits={map.pits} margin_mm={margin_mm} />
        {isMoved ? <Earlier outline={plan.closure.removed_mm} /> : null}
        {cutOnly ? <Cut outline={shown.closure.removed_mm} /> : <PlanCuts plan={shown} />}
        {wall ? <BindingWall wall={wall} /> : null}
        <Midline />
        <Landmarks analVerge={verge} />
        <Corners corners={Object.fromEntries(corners)} />
        {handles.map((handle) => (
          <MovingHandle key={handle.name} handle={handle} moving={moving} />
        ))}
      </SkinPlan>
      <FoldedLegend signs={cutOnly ? OF_THE_CUT : OF_THE_PLAN} />
    </>
  );
}

function MovingHandle({ handle, moving }: { handle: HandlePoint; moving: Moving }) {
  const t = useSay("moving");
  const { name, act, at_mm } = handle;
  const said = act === "carry" ? t("carry") : t("corner", { name, act: t(`act.${act}`) });
  return (
    <Handle
      name={said}
      place={at_mm}
      onMove={(to) => moving.drag(name, to)}
      onDone={(to) => moving.drop(name, to)}
    />
  );
}

/** What is shown of the skin: it changes when a hand lets go, never under it. */
function useFrame(map: TractMap, plan: Plan, preview: Preview | null, cutOnly: boolean) {
  const resting = useResting(preview);
  return useMemo(() => {
    const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
    const reach = (drawn: Drawn) => (cutOnly ? drawn.closure.removed_mm : cornersOf(drawn));
    const moved = resting ? reach(resting) : [];
    return frameOf([verge, [-40, 0], [40, 80], ...reach(plan), ...moved]);
  }, [map, plan, resting, cutOnly]);
}

/** The last preview that was taken with the hand at rest. */
function useResting(preview: Preview | null): Preview | null {
  const full = preview?.full ? preview : null;
  const kept = useMemo<{ last: Preview | null }>(() => ({ last: null }), []);
  if (full) kept.last = full;
  return kept.last;
}

/** A wall comes nearer to the disease than the drawn margin. */
function isTooNear({ limits }: Pick<Plan, "limits">): boolean {
  return limits.some((check) => !check.kept && check.limit === "margin at every wall, as drawn");
}

/** The line of the wall that comes nearest to the disease. */
function bindingWall({ excision }: Pick<Plan, "excision">): Line | null {
  const [nearest] = [...excision.clearances].sort((a, b) => a.least_mm - b.least_mm);
  return excision.outline.walls.find((wall) => wall.name === nearest?.wall)?.line_mm ?? null;
}
