import type { MeasuredCorner, Plan, PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Corners } from "../../plan/Corners";
import { Cut, Earlier } from "../../plan/Cut";
import { DiseaseMap } from "../../plan/DiseaseMap";
import { Handle } from "../../plan/Handle";
import { Landmarks } from "../../plan/Landmarks";
import { Midline } from "../../plan/Midline";
import { cornersOf, PlanCuts, PlanSkin } from "../../plan/PlanCuts";
import { frameOf, type Point } from "../../plan/paper";
import { Removed } from "../../plan/Removed";
import { SkinPlan } from "../../plan/SkinPlan";
import { around, cornerAt, placeOf } from "./operation";

type HoleDrawingProps = {
  caseId: string;
  plans: PlanSet;
  cut: Plan;
  drawn: Plan | null;
  corners: readonly MeasuredCorner[];
  /** The hole is drawn as it is entered now. */
  follows: boolean;
  /** Nothing where corners are not moved one by one. */
  onPut: ((corner: MeasuredCorner) => void) | null;
};

/** The real hole over the planned one; once a new plan is looked at, that plan round the hole. */
export function HoleDrawing(props: HoleDrawingProps) {
  const { caseId, plans, cut, drawn, corners, follows, onPut } = props;
  const t = useSay("theatre");
  const { code, tract_map: map } = plans;
  const verge: Point = [map.anal_verge_mm[0], map.anal_verge_mm[1]];
  const hole = around(corners);
  const { low, high } = frameOf([
    verge,
    ...hole,
    ...cornersOf(cut),
    ...(drawn ? cornersOf(drawn) : []),
  ]);
  const shown = drawn ?? cut;
  const isMeasured = hole.length > 0;
  return (
    <div className="hole-drawing">
      <SkinPlan
        title={t(drawn ? "hole.title_plan" : "hole.title", { plan: shown.id })}
        low={low}
        high={high}
        tallest={0.6}
      >
        {drawn || !isMeasured ? <PlanSkin plan={shown} /> : <Removed outline={hole} />}
        <DiseaseMap caseId={caseId} code={code} pits={map.pits} />
        {drawn || !isMeasured ? <PlanCuts plan={shown} /> : <Cut outline={hole} />}
        {drawn ? <Earlier outline={hole} /> : <Earlier outline={cut.closure.removed_mm} />}
        <Midline />
        <Landmarks analVerge={verge} />
        {drawn || !isMeasured ? (
          <Corners corners={shown.closure.points_mm} />
        ) : (
          <HoleCorners corners={corners} onPut={onPut} />
        )}
      </SkinPlan>
      <p className="small">{t(drawn ? "hole.thin_real" : "hole.thin_planned")}</p>
      {follows ? null : <p className="small">{t("hole.follows")}</p>}
    </div>
  );
}

function HoleCorners({ corners, onPut }: Pick<HoleDrawingProps, "corners" | "onPut">) {
  const t = useSay("theatre");
  const places = corners.flatMap((corner) => {
    const place = placeOf(corner);
    return place ? [{ name: corner.name, place }] : [];
  });
  return (
    <>
      <Corners corners={Object.fromEntries(places.map(({ name, place }) => [name, place]))} />
      {onPut
        ? places.map(({ name, place }) => (
            <Handle
              key={name}
              name={t("hole.corner_named", { corner: name })}
              place={place}
              onMove={() => undefined}
              onDone={(to) => onPut(cornerAt(name, to))}
            />
          ))
        : null}
    </>
  );
}
