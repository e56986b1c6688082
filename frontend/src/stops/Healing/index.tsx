import { refusalOf, useHealing } from "../../api/queries";
import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import type { StopProps } from "../contract";
import { AftercareSheets } from "./AftercareSheets";
import { Agenda } from "./Agenda";
import { Checks } from "./Checks";
import { Complications } from "./Complications";
import { DrainSection } from "./DrainSection";
import { SupportSection } from "./SupportSection";
import "./Healing.css";

/** From the last stitch to the healed wound: drain, stitches, dates, complications, sheets. */
export function Healing(props: StopProps) {
  const t = useSay("healing");
  const { revision, entered, goTo } = props;
  const { data, error } = useHealing(revision.case_id);
  if (!entered.operation) {
    const toTheatre = (
      <button type="button" className="quiet" onClick={() => goTo("theatre")}>
        {t("to_theatre")}
      </button>
    );
    return <Empty action={toTheatre}>{t("nothing_yet")}</Empty>;
  }
  const healing = error ? null : (data ?? null);
  const reason = refusalOf(error);
  return (
    <div className="healing-stop">
      <DrainSection {...props} healing={healing} reason={reason} />
      {healing ? <Agenda {...props} healing={healing} /> : null}
      {healing ? <SupportSection {...props} healing={healing} /> : null}
      <div className="notes healing-more">
        <Complications {...props} />
        <AftercareSheets revision={revision} />
        <Checks entered={entered} />
      </div>
    </div>
  );
}
