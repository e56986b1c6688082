import { useState } from "react";
import { write } from "../../../api/client";
import type { Revision } from "../../../api/records";
import { useSay } from "../../../i18n/say";
import { Told } from "../../../shell/Told";

type TakeOutProps = { caseId: string; refresh: () => Promise<Revision> };

/** Take the scan out of the case, asked twice; what was marked stays. */
export function TakeOut({ caseId, refresh }: TakeOutProps) {
  const t = useSay("scan");
  const [isAsking, ask] = useState(false);
  const [sentence, setSentence] = useState("");
  const takeOut = async () => {
    try {
      await write({ method: "DELETE", path: `/api/cases/${caseId}/scan` });
      await refresh();
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    ask(false);
  };
  return (
    <>
      {isAsking ? (
        <>
          <p>{t("take_out_sure")}</p>
          <div className="scan-row">
            <button type="button" className="quiet" onClick={() => void takeOut()}>
              {t("take_out")}
            </button>
            <button type="button" className="quiet" onClick={() => ask(false)}>
              {t("keep")}
            </button>
          </div>
        </>
      ) : (
        <button type="button" className="quiet" onClick={() => ask(true)}>
          {t("other_scan")}
        </button>
      )}
      {sentence ? (
        <p role="alert">
          <Told>{sentence}</Told>
        </p>
      ) : null}
    </>
  );
}
