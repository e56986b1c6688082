import { useState } from "react";
import { cancelJob, jobDone } from "../api/jobs";
import type { Job, Plan, PlanSet } from "../api/records";
import { useSay } from "../i18n/say";
import { Note } from "../shell/Note";
import { PrimaryButton } from "../shell/PrimaryButton";
import type { StopProps } from "../stops/contract";
import type { Moving } from "./useMoving";

type KeepButtonProps = Pick<StopProps, "revision" | "saved" | "refresh"> & {
  plans: PlanSet;
  plan: Plan;
  moving: Moving;
  /** It is a plan now, the last of the list. */
  onKept: () => void;
};

/** Keep a moved plan as one of the case's own: its pull is computed, then it stands in the list. */
export function KeepButton(props: KeepButtonProps) {
  const { revision, saved, refresh, plans, plan, moving, onKept } = props;
  const t = useSay("moving");
  const [job, setJob] = useState<Job | null>(null);
  const [sentence, setSentence] = useState("");
  const keep = async () => {
    setSentence("");
    try {
      await saved();
      const asked = { code: plans.code, moved: { of: plan.id, moves: moving.moves } };
      const last = await jobDone(`/api/cases/${revision.case_id}/plans/own`, asked, setJob);
      if (last.state === "done") {
        await refresh();
        onKept();
      } else setSentence(last.reason);
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    setJob(null);
  };
  const through = moving.preview?.cut_through ?? [];
  const off =
    job !== null
      ? t("keeping")
      : through.length > 0
        ? t("cut_through", { parts: through.join(", ") })
        : null;
  return (
    <>
      {sentence ? (
        <Note title={t("not_kept")}>
          <p lang="en" role="alert">
            {sentence}
          </p>
        </Note>
      ) : null}
      {job ? <Running job={job} /> : null}
      <PrimaryButton onPress={() => void keep()} off={off}>
        {t("keep")}
      </PrimaryButton>
    </>
  );
}

function Running({ job }: { job: Job }) {
  const t = useSay("moving");
  return (
    <Note title={t("keeping")}>
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
