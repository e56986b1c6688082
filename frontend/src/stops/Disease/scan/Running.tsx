import type { Job } from "../../../api/records";
import { useSay } from "../../../i18n/say";

/** What a job does now, how far it is, and the way to stop it. */
export function Running({ job, stop }: { job: Job; stop: () => void }) {
  const t = useSay("scan");
  return (
    <>
      <p aria-live="polite">
        <span lang="en">{job.step}</span>,{" "}
        {t("share", { share: Math.floor(100 * job.share_ratio) })}
      </p>
      <button type="button" className="quiet" onClick={stop}>
        {t("stop")}
      </button>
    </>
  );
}
