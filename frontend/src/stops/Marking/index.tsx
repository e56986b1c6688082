import { useState } from "react";
import { useOfCase } from "../../api/queries";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Empty } from "../../shell/Empty";
import { Note, Notes } from "../../shell/Note";
import { Tag } from "../../shell/Tag";
import type { StopProps } from "../contract";
import { Sheets } from "./Sheets";

const PAPERS = ["A4", "Letter"].map((name) => ({ value: name, word: name }));
const SHEETS = [
  "template.pdf",
  "template.svg",
  "template.dxf",
  "plan.pdf",
  "theatre-card.pdf",
  "consent.pdf",
  "specimen-card.pdf",
];

type Printable = { names: string[]; old: boolean };

/** What is printed before the operation; nothing is printed from plans that are old. */
export function Marking({ revision }: StopProps) {
  const t = useSay("marking");
  const [paper, setPaper] = useState("A4");
  const printable = useOfCase<Printable>(revision.case_id, "sheets").data;
  if (!revision.dossier.plans || !printable) return <Empty>{t("nothing_yet")}</Empty>;
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title")}</h1>
        <p className="small">{t("lead")}</p>
      </div>
      {printable.old ? (
        <Note>
          <Tag kind="old" />
          <p className="say">{t("old")}</p>
        </Note>
      ) : (
        <Notes>
          <Choice label={t("paper")} options={PAPERS} value={paper} onChoose={setPaper} />
          <Sheets caseId={revision.case_id} names={SHEETS} paper={paper} />
          <Note title={t("bars_title")}>
            <p>{t("bars")}</p>
          </Note>
        </Notes>
      )}
    </>
  );
}
