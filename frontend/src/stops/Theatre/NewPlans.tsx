import type { Plan } from "../../api/records";
import { measure, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { PlanThumbnail } from "../../plan/PlanThumbnail";
import { Fold } from "../../shell/Fold";
import { useSideWord } from "../../shell/sides";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";

const MM2_IN_CM2 = 100;

type NewPlansProps = {
  plans: readonly Plan[];
  /** The plan that was cut. */
  cut: Plan;
  /** Letter of the plan that is looked at. */
  chosen: string | null;
  /** Letter of the plan that was taken. */
  taken: string | null;
  isOld: boolean;
  onChoose: (letter: string) => void;
};

/** The new plans side by side as drawings: what each asks to be cut, and what it changes. */
export function NewPlans({ plans, cut, chosen, taken, isOld, onChoose }: NewPlansProps) {
  const t = useSay("theatre");
  return (
    <section className="new-plans">
      <h2>{t("plans.title", { count: plans.length })}</h2>
      {isOld ? (
        <p>
          <Tag kind="old" /> {t("plans.old")}
        </p>
      ) : null}
      <fieldset className={isOld ? "tiles tiles-old" : "tiles"}>
        <legend className="unseen">{t("plans.title", { count: plans.length })}</legend>
        {plans.map((plan) => (
          <label key={plan.id} className="tile">
            <span className="tile-head">
              <input
                type="radio"
                name="new plan"
                value={plan.id}
                checked={plan.id === chosen}
                onChange={() => onChoose(plan.id)}
              />
              <b className="plan-letter">{plan.id}</b>
              {plan.id === taken ? <b>{t("plans.taken")}</b> : null}
            </span>
            <PlanThumbnail plan={plan} />
            <Told>{plan.closure.name}</Told>
            <OtherSide plan={plan} cut={cut} />
            <More plan={plan} />
            <Pull plan={plan} />
          </label>
        ))}
      </fieldset>
      {plans
        .filter((plan) => plan.id === chosen && (plan.recut?.changed.length ?? 0) > 0)
        .map((plan) => (
          <Fold key={plan.id} title={t("plans.changed", { plan: plan.id })} open>
            {plan.recut?.changed.map((sentence) => (
              <p key={sentence}>
                <Told>{sentence}</Told>
              </p>
            ))}
          </Fold>
        ))}
    </section>
  );
}

/** That the flap comes from another side than was planned is said before it is taken. */
function OtherSide({ plan, cut }: { plan: Plan; cut: Plan }) {
  const t = useSay("theatre");
  const word = useSideWord();
  const { donor_side } = plan.closure;
  if (donor_side === null || donor_side === cut.closure.donor_side) return null;
  return <Tag kind="check">{t("plans.other_side", { side: word(donor_side) })}</Tag>;
}

/** What must still be cut away; the hole that is cut can only grow. */
function More({ plan: { recut } }: { plan: Plan }) {
  const t = useSay("theatre");
  if (!recut || recut.more_mm2 === 0) return <span>{t("plans.no_more")}</span>;
  const more = measure(Math.ceil(recut.more_mm2 / MM2_IN_CM2), "cm²");
  return <b>{t("plans.more", { more, mm: measure(Math.ceil(recut.furthest_mm), "mm") })}</b>;
}

function Pull({ plan: { mechanics } }: { plan: Plan }) {
  const t = useSay("theatre");
  if (!mechanics) return <span className="small">{t("plans.no_pull_yet")}</span>;
  const { relative_low_ratio: low, relative_high_ratio: high } = mechanics;
  if (low === null || high === null) {
    return (
      <span className="small">
        {t("plans.no_pull")} <Told>{mechanics.reason}</Told>
      </span>
    );
  }
  return <span className="small">{t("plans.pull", { ratio: range(low, high, "×", 1) })}</span>;
}
