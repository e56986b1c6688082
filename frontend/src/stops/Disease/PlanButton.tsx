import { useState } from "react";
import { cancelJob, jobDone } from "../../api/jobs";
import type { Job } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import type { StopProps } from "../contract";

type PlanButtonProps = StopProps & {
  /** How many things are still missing before a plan. */
  missing: number;
};

/** Plan the case as entered; what it is doing stands above the road and can be stopped. */
export function PlanButton({ revision, saved, refresh, goTo, missing }: PlanButtonProps) {
  const t = useSay("disease");
  const [job, setJob] = useState<Job | null>(null);
  const [sentence, setSentence] = useState("");
  const waits = job ? t("running") : missing > 0 ? t("missing_count", { count: missing }) : null;
  const plan = async () => {
    setSentence("");
    try {
      await saved();
      const last = await jobDone(`/api/cases/${revision.case_id}/plans`, {}, setJob);
      if (last.state === "done") {
        await refresh();
        goTo("closure");
      } else setSentence(last.reason);
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    setJob(null);
  };
  return (
    <>
      {sentence ? (
        <Note title={t("not_planned")}>
          <p lang="en" role="alert">
            {sentence}
          </p>
        </Note>
      ) : null}
      {job ? <Running job={job} /> : null}
      <PrimaryButton onPress={() => void plan()} off={waits}>
        {t(revision.dossier.plans ? "plan_again" : "plan")}
      </PrimaryButton>
    </>
  );
}

function Running({ job }: { job: Job }) {
  const t = useSay("disease");
  return (
    <Note title={t("running")}>
      <p aria-live="polite">
        <span lang="en">{job.step}</span>,{" "}
        {t("share", { share: Math.floor(100 * job.share_ratio) })}
      </p>
      <button type="button" className="quiet" onClick={() => void cancelJob(job.job_id)}>
        {t("stop")}
      </button>
    </Note>
  );
}
