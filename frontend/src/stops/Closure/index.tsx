import { useState } from "react";
import { usePlans } from "../../api/queries";
import type { PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { WholePlan } from "../../plan/WholePlan";
import { Empty } from "../../shell/Empty";
import { Fold } from "../../shell/Fold";
import { Note, Notes } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
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
  const plans = usePlans(props.revision).data;
  return plans ? <Plans plans={plans} {...props} /> : <Empty>{t("nothing_yet")}</Empty>;
}

function Plans({ plans, ...props }: StopProps & { plans: PlanSet }) {
  const { revision, entered, edit } = props;
  const t = useSay("closure");
  const chosen = entered.choice?.code === plans.code ? entered.choice.plan : undefined;
  const [letter, setLetter] = useState(chosen);
  const plan = drawnPlan(plans, letter);
  const choose = () => {
    edit(t("choose", { plan: plan.id }), (before) => ({
      ...before,
      choice: { plan: plan.id, code: plans.code },
    }));
  };
  const isChosen = plan.id === chosen;
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title", { plan: plan.id })}</h1>
        <p className="small" lang="en">
          {plans.order}
        </p>
      </div>
      <div className="drawing-and-notes">
        <Film caseId={revision.case_id} code={plans.code} plan={plan} map={plans.tract_map}>
          <WholePlan title={t("title", { plan: plan.id })} map={plans.tract_map} plan={plan} />
        </Film>
        <Notes>
          {isChosen ? <SignOff key={plan.id} {...props} code={plans.code} plan={plan.id} /> : null}
          <PlanList plans={plans.plans} chosen={plan.id} onChoose={setLetter} />
          <PlanFigures plan={plan} />
          <ScarAfter plan={plan} />
          <Refused plans={plans} />
        </Notes>
      </div>
      {isChosen ? null : (
        <PrimaryButton onPress={choose}>{t("choose", { plan: plan.id })}</PrimaryButton>
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
          <p lang="en">{plans.would_change}</p>
        </Note>
      ) : null}
      <Fold title={t("refused", { count: plans.refused.length })}>
        {plans.refused.map((each) => (
          <p key={each.kind} lang="en">
            <b>{each.kind}</b>: {each.reason}
          </p>
        ))}
      </Fold>
      <Fold title={t("cautions", { count: plans.cautions.length })}>
        {plans.cautions.map((sentence) => (
          <p key={sentence} lang="en">
            {sentence}
          </p>
        ))}
      </Fold>
    </>
  );
}
