import { useEffect, useState } from "react";
import { followJob, hasEnded, startJob } from "../../api/jobs";
import { putOfCase, useOfCase } from "../../api/queries";
import type { Job, PlanSet } from "../../api/records";
import type { StopProps } from "../contract";

const WHAT = "theatre/figures";

export type Pull = {
  /** Plans are there and their pull is not. */
  isMissing: boolean;
  /** What computes it now, whoever began it. */
  job: Job | null;
  /** Why the last try gave nothing. */
  sentence: string;
  /** Compute it, also after it was stopped, failed or interrupted. */
  ask: () => void;
};

type PullProps = Pick<StopProps, "revision" | "refresh">;

/** The pull of the plans that were made in theatre; a run that an earlier page began is found. */
export function usePull({ revision, refresh }: PullProps, made: PlanSet | null): Pull {
  const { case_id } = revision;
  const [fault, setFault] = useState("");
  const isMissing = made?.plans.some((plan) => plan.mechanics === null) ?? false;
  const last = useOfCase<Job | null>(case_id, WHAT, isMissing).data ?? null;
  const job = isMissing && last && !hasEnded(last) ? last : null;
  const followed = job?.job_id;
  // biome-ignore lint/correctness/useExhaustiveDependencies: one job is followed once
  useEffect(() => {
    if (!followed) return;
    const tell = async (now: Job) => {
      await putOfCase(case_id, WHAT, now);
      if (hasEnded(now)) await refresh();
    };
    return followJob(
      followed,
      (now) => void tell(now),
      (lost) => setFault(lost.message),
    );
  }, [followed, case_id]);
  const ask = () => {
    setFault("");
    startJob(`/api/cases/${case_id}/${WHAT}`, {})
      .then((begun) => putOfCase(case_id, WHAT, begun))
      .catch((refused: Error) => setFault(refused.message));
  };
  return { isMissing, job, sentence: fault || (job ? "" : (last?.reason ?? "")), ask };
}
