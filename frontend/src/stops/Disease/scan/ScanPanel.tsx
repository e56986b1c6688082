import { refusalOf } from "../../../api/queries";
import { useSay } from "../../../i18n/say";
import { useScan } from "../../../scan/useScan";
import { Told } from "../../../shell/Told";
import type { StopProps } from "../../contract";
import { AddScan } from "./AddScan";
import { ScanDesk } from "./ScanDesk";
import { TakeOut } from "./TakeOut";
import "./scan.css";

/** The scan beside the disease: taken in, looked at, marked, mapped. */
export function ScanPanel(props: StopProps) {
  const t = useSay("scan");
  const { revision, refresh } = props;
  return (
    <section className="scan" aria-labelledby="scan-title">
      <h2 id="scan-title" className="scan-title">
        {t("title")}
      </h2>
      <p className="small scan-lead">{t(revision.dossier.scan ? "lead" : "lead_none")}</p>
      {revision.dossier.scan ? (
        <Shown {...props} takeOut={<TakeOut caseId={revision.case_id} refresh={refresh} />} />
      ) : (
        <AddScan {...props} />
      )}
    </section>
  );
}

function Shown({ takeOut, ...props }: StopProps & { takeOut: React.ReactNode }) {
  const t = useSay("scan");
  const { data, error } = useScan(props.revision);
  const { scan } = props.revision.dossier;
  if (data) return <ScanDesk key={scan?.picture_sha256} {...props} scan={data} />;
  if (!error) return <p className="scan-field">{t("loading", { slices: scan?.slices ?? 0 })}</p>;
  return (
    <div className="scan-field">
      <p role="alert">
        <Told>{refusalOf(error) ?? error.message}</Told>
      </p>
      {takeOut}
    </div>
  );
}
