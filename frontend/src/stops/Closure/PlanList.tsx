import type { Plan } from "../../api/records";
import { useSay } from "../../i18n/say";
import { PlanThumbnail } from "../../plan/PlanThumbnail";
import { Told } from "../../shell/Told";
import "./PlanList.css";

type PlanListProps = {
  plans: readonly Plan[];
  /** Letter of the plan that is drawn large. */
  chosen: string;
  onChoose: (letter: string) => void;
};

/** One row a plan: letter, name, small drawing, its strength and its price. */
export function PlanList({ plans, chosen, onChoose }: PlanListProps) {
  const t = useSay("closure");
  return (
    <fieldset className="plan-list">
      <legend className="unseen">{t("plans")}</legend>
      {plans.map((plan) => (
        <label key={plan.id} className="plan-row">
          <input
            type="radio"
            name="plan"
            value={plan.id}
            checked={plan.id === chosen}
            onChange={() => onChoose(plan.id)}
          />
          <span className="plan-row-picture">
            <PlanThumbnail plan={plan} />
          </span>
          <span>
            <b>
              <span className="plan-letter">{plan.id}</span> <Told>{plan.closure.name}</Told>
            </b>
            <Told>{plan.best_at}</Told>
            {plan.price ? (
              <span className="small">
                <Told>{plan.price}</Told>
              </span>
            ) : null}
          </span>
        </label>
      ))}
    </fieldset>
  );
}
