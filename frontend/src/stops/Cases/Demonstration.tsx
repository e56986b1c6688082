import { useState } from "react";
import { write } from "../../api/client";
import type { Revision } from "../../api/records";
import { useSay } from "../../i18n/say";
import { go } from "../../routes";
import { useOff } from "../../shell/rights";
import { Told } from "../../shell/Told";

/** The invented case, with its scan and its plans. */
export function Demonstration() {
  const t = useSay("cases");
  const [sentence, setSentence] = useState("");
  const off = useOff();
  const [isMaking, setMaking] = useState(false);
  const make = () => {
    setMaking(true);
    write<Revision>({ method: "POST", path: "/api/cases/demonstration" })
      .then((made) => go({ at: "case", caseId: made.case_id, stop: "disease" }))
      .catch((fault: Error) => setSentence(fault.message))
      .finally(() => setMaking(false));
  };
  return (
    <>
      <p>{t("demonstration.what")}</p>
      <button type="button" className="quiet" disabled={isMaking || off !== null} onClick={make}>
        {t(isMaking ? "demonstration.making" : "demonstration.make")}
      </button>
      <p role="status">{off ?? <Told>{sentence}</Told>}</p>
    </>
  );
}
