import { useHealing } from "../../api/queries";
import { day } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import { Note, Notes } from "../../shell/Note";
import type { StopProps } from "../contract";
import { Sheets } from "../Marking/Sheets";

const SHEETS = [
  "ward-card.pdf",
  "operation-note.pdf",
  "patient-en.pdf",
  "patient-de.pdf",
  "dates.ics",
];

/** What follows the operation: forecast, dates, sheets. */
export function Healing({ revision, entered, today }: StopProps) {
  const t = useSay("healing");
  const healing = useHealing(revision.case_id).data;
  if (!entered.operation || !healing) return <Empty>{t("nothing_yet")}</Empty>;
  const dates = healing.schedule?.entries.filter((entry) => entry.on >= today) ?? [];
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title")}</h1>
      </div>
      <Notes>
        {healing.drain ? (
          <Note title={t("drain")}>
            <p className="say" lang="en">
              {healing.drain.words}
            </p>
          </Note>
        ) : null}
        <Note title={t("dates")}>
          {dates.map((entry) => (
            <p key={entry.code}>
              <b>{day(entry.on, today)}</b>: <span lang="en">{entry.task}</span>
            </p>
          ))}
        </Note>
        <Note title={t("sheets")}>
          <Sheets caseId={revision.case_id} names={SHEETS} paper="A4" />
        </Note>
      </Notes>
    </>
  );
}
