import { usePlans } from "../../api/queries";
import type { PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { LimitList } from "../../moving/LimitList";
import { MovedPlan } from "../../moving/MovedPlan";
import { MoveTools } from "../../moving/MoveTools";
import { Standing } from "../../moving/Standing";
import { useMoving } from "../../moving/useMoving";
import { NoPlans } from "../../shell/NoPlans";
import { Notes } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { chosenLetter } from "../../shell/taken";
import { drawnPlan } from "../Closure/drawn";
import type { StopProps } from "../contract";
import { CutFigures } from "./CutFigures";
import { CutOnSlices } from "./CutOnSlices";
import "./Excision.css";
import { LimitFields } from "./LimitFields";

/** What is cut out, and how far it stays from the disease. */
export function Excision(props: StopProps) {
  const t = useSay("excision");
  const { data: plans, error } = usePlans(props.revision);
  if (!plans) {
    return (
      <>
        <NoPlans {...props} error={error}>
          {t("nothing_yet")}
        </NoPlans>
        <LimitFields {...props} />
      </>
    );
  }
  const { id } = drawnPlan(plans, chosenLetter(props.entered, plans));
  return <Cut key={`${plans.code} ${id}`} plans={plans} {...props} />;
}

function Cut(props: StopProps & { plans: PlanSet }) {
  const { plans, revision, entered, goTo } = props;
  const t = useSay("excision");
  const plan = drawnPlan(plans, chosenLetter(entered, plans));
  const moving = useMoving(revision.case_id, plans, plan, entered.limits);
  const asked = moving.shown.excision.chance_clear.at_least_mm;
  return (
    <>
      <div className="sheet-head">
        <h1>{t(moving.isMoved ? "title_moved" : "title", { plan: plan.id })}</h1>
        <Standing moving={moving}>{t("lead")}</Standing>
      </div>
      <div className="cut-sheet">
        <div>
          <MovedPlan
            title={t("title", { plan: plan.id })}
            caseId={revision.case_id}
            plans={plans}
            plan={plan}
            moving={moving}
            margin_mm={asked}
            cutOnly
          />
          <MoveTools moving={moving} cutOnly />
        </div>
        <CutOnSlices {...props} plan={plan} moving={moving} />
        <Notes>
          <CutFigures moving={moving} />
          <LimitList limits={moving.shown.limits} />
          <LimitFields {...props} />
        </Notes>
      </div>
      <PrimaryButton onPress={() => goTo("closure")}>{t("go_on")}</PrimaryButton>
    </>
  );
}
