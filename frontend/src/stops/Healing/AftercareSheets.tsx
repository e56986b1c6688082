import { useState } from "react";
import type { Revision } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Note } from "../../shell/Note";
import { Sheets } from "../Marking/Sheets";

const SHEETS = [
  "patient-en.pdf",
  "patient-de.pdf",
  "ward-card.pdf",
  "operation-note.pdf",
  "specimen-card.pdf",
  "dates.ics",
];
const PAPERS = ["A4", "Letter"].map((name) => ({ value: name, word: name }));

/** What is printed after the operation, the patient's sheet first. */
export function AftercareSheets({ revision }: { revision: Revision }) {
  const t = useSay("healing");
  const [paper, setPaper] = useState("A4");
  return (
    <Note title={t("sheets.title")}>
      <p className="small">{t("sheets.what")}</p>
      <Sheets caseId={revision.case_id} names={SHEETS} paper={paper} />
      <Choice label={t("sheets.paper")} options={PAPERS} value={paper} onChoose={setPaper} />
    </Note>
  );
}
