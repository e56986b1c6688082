import { useState } from "react";
import { jobDone } from "../../api/jobs";
import type { Job } from "../../api/records";
import type { StopProps } from "../contract";

export type Replan = {
  /** What runs now: first the plans, then their pull. */
  running: { what: "plans" | "figures"; job: Job } | null;
  /** Why the last run gave nothing. */
  sentence: string;
  start: () => void;
};

/** Plan for the hole as entered; once the plans are there, their pull is computed by itself. */
export function useReplan({ revision, saved, refresh }: StopProps, onPlans: () => void): Replan {
  const [running, setRunning] = useState<Replan["running"]>(null);
  const [sentence, setSentence] = useState("");
  const run = async (what: "plans" | "figures") => {
    const path = `/api/cases/${revision.case_id}/theatre/${what}`;
    const last = await jobDone(path, {}, (job) => setRunning({ what, job }));
    if (last.state !== "done") throw new Error(last.reason);
    await refresh();
  };
  const start = async () => {
    setSentence("");
    try {
      await saved();
      await run("plans");
      onPlans();
      await run("figures");
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    setRunning(null);
  };
  return { running, sentence, start: () => void start() };
}
