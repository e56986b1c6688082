/** Long work on the server: start it, follow it to its end, stop it. */

import { read, UnreachableError, type Write, write } from "./client";
import type { Job } from "./records";

const ASK_AGAIN_MS = 1500;
const ENDS: readonly Job["state"][] = ["done", "failed", "cancelled", "interrupted"];

/** Whether nothing more will happen. */
export function hasEnded(job: Job): boolean {
  return ENDS.includes(job.state);
}

/** Ask for a job; what comes back is waiting or already running. */
export function startJob(path: string, body: unknown, key?: string): Promise<Job> {
  const asked: Write = { method: "POST", path, body };
  return write<Job>(key === undefined ? asked : { ...asked, key });
}

export function cancelJob(jobId: string): Promise<void> {
  return write<void>({ method: "DELETE", path: `/api/jobs/${jobId}` });
}

/**
 * Tell every change of a job until it has ended.
 *
 * The server's events are followed; where they break off, the job is asked for again and again.
 * The returned function stops the following, not the job.
 */
export function followJob(
  jobId: string,
  tell: (job: Job) => void,
  lost: (fault: Error) => void = () => undefined,
): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let stopped = false;
  const events =
    typeof EventSource === "undefined" ? null : new EventSource(`/api/jobs/${jobId}/changes`);

  function stop(): void {
    stopped = true;
    events?.close();
    clearTimeout(timer);
  }

  function heard(job: Job): void {
    if (stopped) return;
    tell(job);
    if (hasEnded(job)) stop();
  }

  async function ask(): Promise<void> {
    events?.close();
    try {
      heard(await read<Job>(`/api/jobs/${jobId}`));
    } catch (fault) {
      if (!(fault instanceof UnreachableError)) {
        stop();
        lost(fault as Error);
      }
    }
    if (!stopped) timer = setTimeout(ask, ASK_AGAIN_MS);
  }

  if (!events) void ask();
  else {
    events.onmessage = (event) => heard(JSON.parse(event.data) as Job);
    events.onerror = () => void (stopped || ask());
  }
  return stop;
}

/** What waits or runs for a case now, whoever asked for it. */
export function jobsUnderWay(caseId: string): Promise<Job[]> {
  return read<Job[]>(`/api/cases/${caseId}/jobs`);
}

/** Start a job and wait for its end; the last state comes back, whatever it is. */
export async function jobDone(
  path: string,
  body: unknown,
  tell: (job: Job) => void = () => undefined,
): Promise<Job> {
  return jobEnded(await startJob(path, body), tell);
}

/** Wait for the end of a job; the last state comes back, whatever it is. */
export async function jobEnded(first: Job, tell: (job: Job) => void): Promise<Job> {
  tell(first);
  if (hasEnded(first)) return first;
  return new Promise((resolve, reject) => {
    followJob(
      first.job_id,
      (job) => {
        tell(job);
        if (hasEnded(job)) resolve(job);
      },
      reject,
    );
  });
}
