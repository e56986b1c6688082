import { useState } from "react";
import { useOfCase } from "../../api/queries";
import type { Revision } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Note } from "../../shell/Note";
import { Tag } from "../../shell/Tag";
import { Sheets } from "../Marking/Sheets";

const SHEETS = [
  "patient-en.pdf",
  "patient-de.pdf",
  "ward-card.pdf",
  "operation-note.pdf",
  "dates.ics",
];
const PAPERS = ["A4", "Letter"].map((name) => ({ value: name, word: name }));

/** What is printed after the operation, the patient's sheet first. */
export function AftercareSheets({ revision }: { revision: Revision }) {
  const t = useSay("healing");
  const [paper, setPaper] = useState("A4");
  const printable = useOfCase<{ old: boolean }>(revision.case_id, "sheets").data;
  return (
    <Note title={t("sheets.title")}>
      {revision.dossier.plans === null ? <p>{t("sheets.no_plan")}</p> : null}
      {printable?.old ? (
        <>
          <Tag kind="old" />
          <p>{t("sheets.old")}</p>
        </>
      ) : null}
      {revision.dossier.plans !== null && printable?.old === false ? (
        <>
          <p className="small">{t("sheets.what")}</p>
          <Sheets caseId={revision.case_id} names={SHEETS} paper={paper} />
          <Choice label={t("sheets.paper")} options={PAPERS} value={paper} onChoose={setPaper} />
        </>
      ) : null}
    </Note>
  );
}
