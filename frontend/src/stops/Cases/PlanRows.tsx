import type { PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { PlanThumbnail } from "../../plan/PlanThumbnail";
import { Told } from "../../shell/Told";

/** The plans of a sketch: letter, name, small drawing, what each is best at. */
export function PlanRows({ plans }: { plans: PlanSet }) {
  const t = useSay("cases");
  return (
    <section aria-label={t("sketch.plans")}>
      <p className="say">{plans.order}</p>
      {plans.plans.map((plan) => (
        <article key={plan.id} className="sketch-plan">
          <PlanThumbnail plan={plan} />
          <div>
            <h2>
              <span className="plan-letter">{plan.id}</span> <Told>{plan.closure.name}</Told>
            </h2>
            <p>{plan.best_at}</p>
            {plan.price ? <p className="small">{plan.price}</p> : null}
          </div>
        </article>
      ))}
    </section>
  );
}
