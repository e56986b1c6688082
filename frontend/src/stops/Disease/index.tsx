import { usePlans } from "../../api/queries";
import { useSay } from "../../i18n/say";
import { WholePlan } from "../../plan/WholePlan";
import { Empty } from "../../shell/Empty";
import { Note, Notes } from "../../shell/Note";
import type { StopProps } from "../contract";
import { PlanButton } from "./PlanButton";
import { ScanPanel } from "./scan/ScanPanel";

/** What is known of the disease, and the way to its plans. */
export function Disease(props: StopProps) {
  const t = useSay("disease");
  const plans = usePlans(props.revision).data;
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title")}</h1>
        <p className="small">{t("lead")}</p>
      </div>
      <div className="drawing-and-notes">
        {plans ? (
          <WholePlan title={t("title")} map={plans.tract_map} />
        ) : (
          <Empty>{t("nothing_yet")}</Empty>
        )}
        <Entered {...props} />
      </div>
      <ScanPanel {...props} />
      <PlanButton {...props} />
    </>
  );
}

function Entered({ entered, revision }: StopProps) {
  const t = useSay("disease");
  const { scan } = revision.dossier;
  return (
    <Notes>
      <Note title={t("entered")}>
        <p>{t("pits", { count: entered.pits.length })}</p>
        <p>{t("probings", { count: entered.probings.length })}</p>
        <p>{scan ? t("scan", { slices: scan.slices }) : t("no_scan")}</p>
        {entered.clicks ? <p>{t("clicked", { count: entered.clicks.tracts.length })}</p> : null}
      </Note>
      {scan?.notes.map((sentence) => (
        <Note key={sentence}>
          <p lang="en">{sentence}</p>
        </Note>
      ))}
    </Notes>
  );
}
