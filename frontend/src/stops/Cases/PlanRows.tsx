import type { Plan, PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Cut, FlapCut } from "../../plan/Cut";
import { Flap } from "../../plan/Flap";
import { Midline } from "../../plan/Midline";
import { frameOf } from "../../plan/paper";
import { Removed } from "../../plan/Removed";
import { SkinPlan } from "../../plan/SkinPlan";

/** The plans of a sketch: letter, name, small drawing, what each is best at. */
export function PlanRows({ plans }: { plans: PlanSet }) {
  const t = useSay("cases");
  return (
    <section aria-label={t("sketch.plans")}>
      <p className="say">{plans.order}</p>
      {plans.plans.map((plan) => (
        <article key={plan.id} className="sketch-plan">
          <Thumbnail plan={plan} />
          <div>
            <h2>
              <span className="plan-letter">{plan.id}</span> {plan.closure.name}
            </h2>
            <p>{plan.best_at}</p>
            {plan.price ? <p className="small">{plan.price}</p> : null}
          </div>
        </article>
      ))}
    </section>
  );
}

function Thumbnail({ plan }: { plan: Plan }) {
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
