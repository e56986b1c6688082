import { useSay } from "../../i18n/say";
import { JobProgress } from "../../shell/JobProgress";
import { Told } from "../../shell/Told";
import type { Replan } from "./useReplan";

/** What is being computed and how far it is, with a way to stop; or why nothing came of it. */
export function Running({ replan: { job, sentence } }: { replan: Replan }) {
  const t = useSay("theatre");
  if (sentence) {
    return (
      <section className="note theatre-said" role="alert">
        <h2>{t("plans.none")}</h2>
        <p className="say">
          <Told>{sentence}</Told>
        </p>
      </section>
    );
  }
  if (!job) return null;
  return (
    <section className="note theatre-said" aria-live="polite">
      <h2>{t("plans.running")}</h2>
      <JobProgress job={job} large />
    </section>
  );
}
