import { usePlans } from "../../api/queries";
import type { Excision as Cut } from "../../api/records";
import { measure, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { WholePlan } from "../../plan/WholePlan";
import { Empty } from "../../shell/Empty";
import { Note, Notes } from "../../shell/Note";
import { drawnPlan } from "../Closure/drawn";
import type { StopProps } from "../contract";

/** What is cut out, and how far it stays from the disease. */
export function Excision({ revision, entered }: StopProps) {
  const t = useSay("excision");
  const plans = usePlans(revision).data;
  if (!plans) return <Empty>{t("nothing_yet")}</Empty>;
  const plan = drawnPlan(plans, entered.choice?.plan);
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title", { plan: plan.id })}</h1>
        <p className="small">{t("lead")}</p>
      </div>
      <div className="drawing-and-notes">
        <WholePlan
          title={t("title", { plan: plan.id })}
          map={plans.tract_map}
          plan={plan}
          margin_mm={plans.limits.least_clearance_mm}
        />
        <Figures cut={plan.excision} asked={plans.limits.least_clearance_mm} />
      </div>
    </>
  );
}

function Figures({ cut, asked }: { cut: Cut; asked: number }) {
  const t = useSay("excision");
  const chance = cut.chance_clear;
  const low = Math.floor(100 * chance.chance_low);
  const high = Math.floor(100 * chance.chance_high);
  return (
    <Notes>
      <Note>
        <p className="say">
          {t("clear", {
            mm: measure(Math.floor(cut.least_clearance_mm), "mm"),
            asked: measure(asked, "mm"),
          })}
        </p>
      </Note>
      <Note>
        <p className="say">{t("chance", { mm: measure(chance.at_least_mm, "mm"), low, high })}</p>
      </Note>
      <Note>
        <p className="say">
          {t("takes", { ml: range(cut.volume_low_ml, cut.volume_high_ml, "mL") })}
        </p>
      </Note>
      <Note title={t("parts")}>
        <table>
          <tbody>
            {cut.clearances.map((each) => (
              <tr key={each.part}>
                <th scope="row">{each.part}</th>
                <td>{t("wall", { wall: each.wall })}</td>
                <td>{measure(Math.floor(each.least_mm), "mm")}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Note>
    </Notes>
  );
}
