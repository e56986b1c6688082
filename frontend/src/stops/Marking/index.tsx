import { useState } from "react";
import { useMarking, useOfCase } from "../../api/queries";
import type { Marking as MarkingRecord } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Empty } from "../../shell/Empty";
import { Fold } from "../../shell/Fold";
import { Note, Notes } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Tag } from "../../shell/Tag";
import type { StopProps } from "../contract";
import { Bars } from "./Bars";
import { IssuedSheets } from "./IssuedSheets";
import { OnSkin } from "./OnSkin";
import { Printing } from "./Printing";
import { RulerTable } from "./RulerTable";
import { SheetPreview } from "./SheetPreview";
import { useIssue } from "./useIssue";
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
  const marking = useMarking(props.revision).data;
  if (!props.revision.dossier.plans || !marking) return <Empty>{t("nothing_yet")}</Empty>;
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

/** Nothing can be printed: why, where to go, and which prints are about all the same. */
function NotNow({ marking, goTo }: StopProps & { marking: MarkingRecord }) {
  const t = useSay("marking");
  return (
    <>
      <Notes>
        <Note>
          {marking.old ? <Tag kind="old" /> : null}
          <p className="say">{t(marking.old ? "old" : "not_chosen")}</p>
          {marking.void ? <p>{t("void", { plan: marking.void.plan })}</p> : null}
        </Note>
        <IssuedSheets lines={marking.issued} />
      </Notes>
      <PrimaryButton onPress={() => goTo(marking.old ? "disease" : "closure")}>
        {t(marking.old ? "to_disease" : "to_closure")}
      </PrimaryButton>
    </>
  );
}

function Now({ marking, ...props }: StopProps & { marking: MarkingRecord }) {
  const { revision, goTo } = props;
  const t = useSay("marking");
  const [paper, setPaper] = useState("A4");
  const pages = useOfCase<number>(revision.case_id, `template-pages?paper=${paper}`).data ?? 1;
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
          <>
            <Note>
              <Tag kind="stop">{t("not_signed_tag")}</Tag>
              {marking.void ? <p>{t("void", { plan: marking.void.plan })}</p> : null}
              <p>{t("not_signed")}</p>
            </Note>
            <PrimaryButton onPress={() => goTo("closure")}>{t("to_closure")}</PrimaryButton>
          </>
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
