import { useEffect, useRef, useState } from "react";
import { jobEnded, jobsUnderWay, startJob } from "./jobs";
import type { Job } from "./records";

export type Run = {
  /** What runs now. */
  job: Job | null;
  /** Why the last run gave nothing. */
  sentence: string;
  start: (path: string, body: unknown) => void;
};

type RunProps = {
  caseId: string;
  kind: Job["kind"];
  /** Waits until everything entered is saved. */
  saved: () => Promise<unknown>;
  /** Takes over what the job wrote. */
  refresh: () => Promise<unknown>;
  /** Goes on from there; not called where the reader has gone elsewhere meanwhile. */
  goOn?: () => void;
};

/**
 * Save, have a job done, take over what came of it; or say why nothing did.
 *
 * One that was begun before a reload, at another stop or by someone else is found and followed.
 */
export function useRun({ caseId, kind, saved, refresh, goOn }: RunProps): Run {
  const [job, setJob] = useState<Job | null>(null);
  const [sentence, setSentence] = useState("");
  const isHere = useRef(false);
  const isFollowing = useRef(false);
  const follow = async (begin: () => Promise<Job>) => {
    if (isFollowing.current) return;
    isFollowing.current = true;
    setSentence("");
    try {
      const last = await jobEnded(await begin(), setJob);
      if (last.state !== "done") throw new Error(last.reason);
      await refresh();
      if (isHere.current) goOn?.();
    } catch (fault) {
      setSentence((fault as Error).message);
    }
    isFollowing.current = false;
    setJob(null);
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: looked for once at each case
  useEffect(() => {
    let isLeft = false;
    isHere.current = true;
    jobsUnderWay(caseId)
      .then((jobs) => {
        const found = jobs.find((each) => each.kind === kind);
        if (found && !isLeft) void follow(async () => found);
      })
      .catch(() => undefined);
    return () => {
      isLeft = true;
      isHere.current = false;
    };
  }, [caseId, kind]);
  const start = async (path: string, body: unknown) => {
    await follow(async () => {
      await saved();
      return startJob(path, body);
    });
  };
  return { job, sentence, start: (path, body) => void start(path, body) };
}
