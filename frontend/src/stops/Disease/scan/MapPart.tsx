import type { MapNow } from "../../../api/records";
import { useRun } from "../../../api/useRun";
import { day } from "../../../i18n/figures";
import { useSay } from "../../../i18n/say";
import { JobProgress } from "../../../shell/JobProgress";
import { Note } from "../../../shell/Note";
import { Tag } from "../../../shell/Tag";
import { Told } from "../../../shell/Told";
import type { StopProps } from "../../contract";
import { Disagreements } from "./Disagreements";
import { clicksOf } from "./marks";
import { Space } from "./Space";
import { useScanMap } from "./useScanMap";

/** The map that the scan shows between the marks: made on request, said to be old. */
export function MapPart(props: StopProps) {
  const t = useSay("scan");
  const { revision, entered, saved, refresh, today } = props;
  const { data } = useScanMap(revision);
  const now = revision.dossier.map ? data : undefined;
  const { job, sentence, start } = useRun({
    caseId: revision.case_id,
    kind: "map the disease",
    saved,
    refresh,
  });
  const isMarked = clicksOf(entered).tracts.length > 0;
  return (
    <Note title={t("map.title")}>
      <HowOld now={now} isMarked={isMarked} today={today} />
      {now ? <Disagreements now={now} /> : null}
      {sentence ? (
        <p role="alert" className="scan-refused">
          <Told>{sentence}</Told>
        </p>
      ) : null}
      {job ? (
        <JobProgress job={job} />
      ) : (
        <button
          type="button"
          className="outlined"
          disabled={!isMarked}
          onClick={() => start(`/api/cases/${revision.case_id}/map`, {})}
        >
          {t(now ? "map.again" : "map.make")}
        </button>
      )}
      {now ? <Space found={now.found} /> : null}
    </Note>
  );
}

type HowOldProps = { now: MapNow | undefined; isMarked: boolean; today: string };

function HowOld({ now, isMarked, today }: HowOldProps) {
  const t = useSay("scan");
  if (!now) return <p>{t(isMarked ? "map.none" : "map.not_marked")}</p>;
  const when = { day: day(now.made_on, today) };
  if (!now.old) return <p>{t("map.made", when)}</p>;
  return (
    <p>
      <Tag kind="old" /> {t("map.old", when)}
    </p>
  );
}
