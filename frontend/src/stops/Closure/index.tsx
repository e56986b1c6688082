import { useRef, useState } from "react";
import { usePlans } from "../../api/queries";
import type { Plan, PlanSet } from "../../api/records";
import { type Run, useRun } from "../../api/useRun";
import { useSay } from "../../i18n/say";
import { KeepButton } from "../../moving/KeepButton";
import { LimitList } from "../../moving/LimitList";
import { MovedPlan } from "../../moving/MovedPlan";
import { MoveTools } from "../../moving/MoveTools";
import { Standing } from "../../moving/Standing";
import { useMoving } from "../../moving/useMoving";
import { Fold } from "../../shell/Fold";
import { NoPlans } from "../../shell/NoPlans";
import { Note, Notes } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Told } from "../../shell/Told";
import { chosenLetter } from "../../shell/taken";
import type { StopProps } from "../contract";
import { drawnPlan } from "./drawn";
import { Film } from "./film";
import { PlanFigures } from "./PlanFigures";
import { PlanList } from "./PlanList";
import { ScarAfter } from "./ScarAfter";
import { SignOff } from "./SignOff";

/** Three to five plans as drawings, what each is best at, and the surgeon's choice. */
export function Closure(props: StopProps) {
  const t = useSay("closure");
  const { data: plans, error } = usePlans(props.revision);
  if (plans) return <Plans plans={plans} {...props} />;
  return (
    <NoPlans {...props} error={error}>
      {t("nothing_yet")}
    </NoPlans>
  );
}

/** Stands for the letter of the plan that was kept last. */
const NEWEST = "newest";

function Plans(props: StopProps & { plans: PlanSet }) {
  const { plans, entered } = props;
  const chosen = chosenLetter(entered, plans);
  const [letter, setLetter] = useState(chosen);
  const run = useRun({
    caseId: props.revision.case_id,
    kind: "close the moved plan",
    saved: props.saved,
    refresh: props.refresh,
    goOn: () => setLetter(NEWEST),
  });
  const isKept = useChangedDuring(run, plans.code);
  const asked = isKept ? NEWEST : letter;
  const plan = drawnPlan(plans, asked === NEWEST ? plans.plans.at(-1)?.id : asked);
  return (
    <OnePlan
      key={`${plans.code} ${plan.id}`}
      plan={plan}
      chosen={chosen}
      onLetter={setLetter}
      run={run}
      {...props}
    />
  );
}

/** Whether other plans than those that a run began with are here before the run is over. */
function useChangedDuring({ job }: Run, code: string): boolean {
  const before = useRef(code);
  if (job === null) before.current = code;
  return before.current !== code;
}

type OnePlanProps = StopProps & {
  plans: PlanSet;
  plan: Plan;
  /** The letter of the surgeon's choice among these plans. */
  chosen: string | undefined;
  onLetter: (letter: string) => void;
  /** Keeps a moved plan. */
  run: Run;
};

/** One plan under the hand, the others beside it. */
function OnePlan(props: OnePlanProps) {
  const { plans, plan, chosen, onLetter, revision, entered, edit } = props;
  const t = useSay("closure");
  const moving = useMoving(revision.case_id, plans, plan, entered.limits);
  const choose = () => {
    edit(t("choose", { plan: plan.id }), (before) => ({
      ...before,
      choice: { plan: plan.id, code: plans.code },
    }));
  };
  const isChosen = plan.id === chosen;
  const signs = isChosen && !moving.isMoved;
  return (
    <>
      <div className="sheet-head">
        <h1>{t(moving.isMoved ? "title_moved" : "title", { plan: plan.id })}</h1>
        <Standing moving={moving}>
          <Told>{plans.order}</Told>
        </Standing>
      </div>
      <div className="drawing-and-notes">
        <Film caseId={revision.case_id} code={plans.code} plan={plan} map={plans.tract_map}>
          <MovedPlan
            title={t("title", { plan: plan.id })}
            caseId={revision.case_id}
            plans={plans}
            plan={plan}
            moving={moving}
          />
          <MoveTools moving={moving} />
        </Film>
        <Notes>
          {signs ? <SignOff key={plan.id} {...props} code={plans.code} plan={plan.id} /> : null}
          <PlanList plans={plans.plans} chosen={plan.id} onChoose={onLetter} />
          <PlanFigures plan={plan} moving={moving} />
          <LimitList limits={moving.shown.limits} />
          {moving.isMoved ? null : <ScarAfter plan={plan} />}
          <Refused plans={plans} />
        </Notes>
      </div>
      {moving.isMoved ? <KeepButton {...props} moving={moving} /> : null}
      {moving.isMoved || isChosen ? null : (
        <PrimaryButton onPress={choose} off={entered.operation ? t("operated") : null}>
          {t("choose", { plan: plan.id })}
        </PrimaryButton>
      )}
    </>
  );
}

function Refused({ plans }: { plans: PlanSet }) {
  const t = useSay("closure");
  return (
    <>
      {plans.would_change ? (
        <Note title={t("would_change")}>
          <p>
            <Told>{plans.would_change}</Told>
          </p>
        </Note>
      ) : null}
      <Fold title={t("refused", { count: plans.refused.length })}>
        {plans.refused.map((each) => (
          <p key={each.kind}>
            <b>
              <Told>{each.kind}</Told>
            </b>
            : <Told>{each.reason}</Told>
          </p>
        ))}
      </Fold>
      <Fold title={t("cautions", { count: plans.cautions.length })}>
        {plans.cautions.map((sentence) => (
          <p key={sentence}>
            <Told>{sentence}</Told>
          </p>
        ))}
      </Fold>
    </>
  );
}
