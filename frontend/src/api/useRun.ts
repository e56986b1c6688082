import { useState } from "react";
import { jobDone } from "./jobs";
import type { Job } from "./records";

export type Run = {
  /** What runs now. */
  job: Job | null;
  /** Why the last run gave nothing. */
  sentence: string;
  start: (path: string, body: unknown) => void;
};

type RunProps = {
  /** Waits until everything entered is saved. */
  saved: () => Promise<unknown>;
  /** Takes over what the job wrote. */
  done: () => Promise<void>;
};

/** Save, have a job done, take over what came of it; or say why nothing did. */
export function useRun({ saved, done }: RunProps): Run {
  const [job, setJob] = useState<Job | null>(null);
  const [sentence, setSentence] = useState("");
  const start = async (path: string, body: unknown) => {
    setSentence("");
    try {
      await saved();
      const last = await jobDone(path, body, setJob);
      if (last.state === "done") await done();
      else setSentence(last.reason);
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    setJob(null);
  };
  return { job, sentence, start: (path, body) => void start(path, body) };
}
