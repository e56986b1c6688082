import { useState } from "react";
import { useMarking, useOfCase } from "../../api/queries";
import type { Marking as MarkingRecord } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Fold } from "../../shell/Fold";
import { NoPlans } from "../../shell/NoPlans";
import { Note, Notes } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Tag } from "../../shell/Tag";
import type { StopProps } from "../contract";
import { Bars } from "./Bars";
import { IssuedSheets } from "./IssuedSheets";
import { OnSkin } from "./OnSkin";
import { LastIssued, Printing } from "./Printing";
import { RulerTable } from "./RulerTable";
import { SheetPreview } from "./SheetPreview";
import { asPrinted } from "./Sheets";
import { type Issue, useIssue } from "./useIssue";
import "./Marking.css";

const PAPERS = ["A4", "Letter"].map((name) => ({ value: name, word: name }));
const OTHERS = [
  "theatre-card.pdf",
  "plan.pdf",
  "consent.pdf",
  "specimen-card.pdf",
  "template.svg",
  "template.dxf",
];

/** The sheet as it will print, the bars measured on it, and what is superseded. */
export function Marking(props: StopProps) {
  const t = useSay("marking");
  const { data: marking, error } = useMarking(props.revision);
  if (!props.revision.dossier.plans || !marking) {
    return (
      <NoPlans {...props} error={error}>
        {t("nothing_yet")}
      </NoPlans>
    );
  }
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title")}</h1>
        <p className="small">{t("lead")}</p>
      </div>
      {marking.old || marking.plan === "" ? (
        <NotNow marking={marking} {...props} />
      ) : (
        <Now marking={marking} {...props} />
      )}
    </>
  );
}

/** What stands in the way of a print, and the stop where it is put right. */
const NOT_NOW = {
  old_operated: { to: "healing", go: "to_healing" },
  old: { to: "disease", go: "to_disease" },
  not_chosen: { to: "closure", go: "to_closure" },
} as const;

/** Nothing can be printed: why, where to go, and which prints are about all the same. */
function NotNow({ marking, entered, goTo }: StopProps & { marking: MarkingRecord }) {
  const t = useSay("marking");
  const isOperated = entered.operation !== null;
  const why = marking.old ? (isOperated ? "old_operated" : "old") : "not_chosen";
  const { to, go } = NOT_NOW[why];
  return (
    <>
      <Notes>
        <Note>
          {marking.old ? <Tag kind="old" /> : null}
          <p className="say">{t(why)}</p>
          {marking.void && !isOperated ? <p>{t("void", { plan: marking.void.plan })}</p> : null}
        </Note>
        <IssuedSheets lines={marking.issued} />
      </Notes>
      <PrimaryButton leadsOn onPress={() => goTo(to)}>
        {t(go)}
      </PrimaryButton>
    </>
  );
}

function Now({ marking, ...props }: StopProps & { marking: MarkingRecord }) {
  const { revision } = props;
  const t = useSay("marking");
  const [paper, setPaper] = useState("A4");
  const pages = useOfCase<number>(revision.case_id, `template-pages?${asPrinted(paper)}`).data ?? 1;
  const issue = useIssue(props, paper);
  return (
    <div className="marking-sheet">
      <div className="marking-print">
        <Choice label={t("paper")} options={PAPERS} value={paper} onChoose={setPaper} />
        <SheetPreview revision={revision} plan={marking.plan} paper={paper} pages={pages} />
      </div>
      <Notes>
        {marking.signed ? (
          <Bars marking={marking} issue={issue} {...props} />
        ) : (
          <NotSigned marking={marking} issue={issue} {...props} />
        )}
        <Fold title={t("others")} open={!marking.signed}>
          <Printing names={["template.pdf", ...OTHERS]} issue={issue} />
        </Fold>
        <RulerTable ruler={marking.ruler} />
      </Notes>
      <Notes>
        <OnSkin marking={marking} />
        <IssuedSheets lines={marking.issued} />
      </Notes>
    </div>
  );
}

type NotSignedProps = StopProps & { marking: MarkingRecord; issue: Issue };

/** A plan that is not signed off; once it was operated on, that cannot be made good. */
function NotSigned({ marking, issue, entered, goTo }: NotSignedProps) {
  const t = useSay("marking");
  const isOperated = entered.operation !== null;
  return (
    <>
      <Note>
        <Tag kind={isOperated ? "check" : "stop"}>{t("not_signed_tag")}</Tag>
        {marking.void ? <p>{t("void", { plan: marking.void.plan })}</p> : null}
        <p>{t(isOperated ? "operated" : "not_signed")}</p>
        <LastIssued issue={issue} />
      </Note>
      <PrimaryButton leadsOn onPress={() => goTo(isOperated ? "theatre" : "closure")}>
        {t(isOperated ? "to_theatre" : "to_closure")}
      </PrimaryButton>
    </>
  );
}
