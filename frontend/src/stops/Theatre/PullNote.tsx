import { useSay } from "../../i18n/say";
import { JobProgress } from "../../shell/JobProgress";
import { useOff } from "../../shell/rights";
import { Told } from "../../shell/Told";
import type { Pull } from "./usePull";

/** That the pull of the new plans is being computed, or is not there: why, and the way to it. */
export function PullNote({ pull: { isMissing, job, sentence, ask } }: { pull: Pull }) {
  const t = useSay("theatre");
  const off = useOff();
  if (!isMissing) return null;
  if (job) {
    return (
      <section className="note theatre-said" aria-live="polite">
        <h2>{t("plans.figures")}</h2>
        <JobProgress job={job} large />
      </section>
    );
  }
  return (
    <section className="note theatre-said" role="status">
      <h2>{t("pull.missing")}</h2>
      {sentence ? (
        <p>
          <Told>{sentence}</Told>
        </p>
      ) : null}
      <p>{t("pull.why")}</p>
      <button type="button" className="outlined" disabled={off !== null} onClick={ask}>
        {t("pull.ask")}
      </button>
    </section>
  );
}
