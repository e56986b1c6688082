import { cancelJob } from "../api/jobs";
import type { Job } from "../api/records";
import { useSay } from "../i18n/say";
import { Told } from "./Told";

type JobProgressProps = {
  job: Job;
  /** A large button, where hands are wet. */
  large?: boolean;
};

/** What a job does now, how far it is, and the way to stop it. */
export function JobProgress({ job, large = false }: JobProgressProps) {
  const t = useSay();
  return (
    <>
      <p aria-live="polite">
        <Told>{job.step}</Told>, {t("job.share", { share: Math.floor(100 * job.share_ratio) })}
      </p>
      <button
        type="button"
        className={large ? "outlined" : "quiet"}
        onClick={() => void cancelJob(job.job_id)}
      >
        {t("job.stop")}
      </button>
    </>
  );
}
