import { useState } from "react";
import { jobDone } from "../../api/jobs";
import type { Job } from "../../api/records";
import type { StopProps } from "../contract";

export type Replan = {
  /** What plans now. */
  job: Job | null;
  /** Why the last run gave nothing. */
  sentence: string;
  start: () => void;
};

/**
 * Plan for the hole as entered; `onPlans` is told once the plans are made and before they are seen,
 * so that nothing changes under a hand that chooses among them.
 */
export function useReplan({ revision, saved, refresh }: StopProps, onPlans: () => void): Replan {
  const [job, setJob] = useState<Job | null>(null);
  const [sentence, setSentence] = useState("");
  const start = async () => {
    setSentence("");
    try {
      await saved();
      const last = await jobDone(`/api/cases/${revision.case_id}/theatre/plans`, {}, setJob);
      if (last.state !== "done") throw new Error(last.reason);
      onPlans();
      await refresh();
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    setJob(null);
  };
  return { job, sentence, start: () => void start() };
}
