import type { Plan, PlanSet } from "../../api/records";
import { useSay } from "../../i18n/say";
import { WholePlan } from "../../plan/WholePlan";
import { Allergies } from "../../shell/Allergies";
import { Note, Notes } from "../../shell/Note";
import { Rich } from "../../shell/Rich";
import { useSideWord } from "../../shell/sides";
import { Told } from "../../shell/Told";
import { Sheets } from "../Marking/Sheets";
import type { InTheatre } from "./operation";

const SHEETS = ["theatre-card.pdf", "template.pdf", "specimen-card.pdf"];

type BeforeProps = InTheatre & { plans: PlanSet; cut: Plan };

/** What is read aloud before the cut: side, allergies, plan, dye; and the card to print. */
export function Before({ start, plans, cut, revision, entered, today }: BeforeProps) {
  const t = useSay("theatre");
  const word = useSideWord();
  return (
    <div className="drawing-and-notes">
      <WholePlan
        title={t("as_planned", { plan: cut.id })}
        caseId={revision.case_id}
        plans={plans}
        plan={cut}
      />
      <Notes>
        <Note title={t("before.side")}>
          <p className="say">
            {start.flap_from ? (
              <Rich say="theatre:before.flap_from" figures={{ side: word(start.flap_from) }} />
            ) : (
              t("before.no_flap")
            )}
          </p>
          <p>
            <b>{start.plan}</b> <Told>{start.name}</Told>
          </p>
        </Note>
        <Note title={t("before.allergies")}>
          <p className="say">
            <Allergies findings={entered.findings} today={today} />
          </p>
        </Note>
        <Note title={t("before.dye")}>
          <p className="say">
            <Told>{start.dye}</Told>
          </p>
        </Note>
        <Note title={t("before.print")}>
          <Sheets caseId={revision.case_id} names={SHEETS} paper="A4" />
        </Note>
        <p className="small">{t("before.again")}</p>
      </Notes>
    </div>
  );
}
