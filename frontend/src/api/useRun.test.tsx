import { act, renderHook, waitFor } from "@testing-library/react";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { Job } from "./records";
import { useRun } from "./useRun";

const job = (state: Job["state"], reason = ""): Job => ({
  job_id: "j1",
  case_id: "c12",
  kind: "plan the case",
  state,
  step: "Searching",
  share_ratio: 0.5,
  reason,
  result_sha256: "",
});

/** Longer than between two askings for a job. */
const ONE_MORE_ANSWER_MS = 1800;

let underWay: Job[] = [];
let found: Promise<unknown> = Promise.resolve();
let now = job("running");

beforeEach(() => {
  now = job("running");
  underWay = [];
  found = Promise.resolve();
  vi.stubGlobal("fetch", async (path: string) => {
    if (path === "/api/cases/c12/jobs") return found.then(() => Response.json(underWay));
    return Response.json(now);
  });
});
afterEach(() => vi.unstubAllGlobals());

function begin() {
  const [refresh, goOn] = [vi.fn(async () => undefined), vi.fn()];
  const parts = {
    caseId: "c12",
    kind: "plan the case",
    saved: async () => 1,
    refresh,
    goOn,
  } as const;
  return { ...renderHook(() => useRun(parts)), refresh, goOn };
}

it("goes on showing what an earlier page began, and takes over what came of it", async () => {
  underWay = [{ ...job("running"), kind: "compute the closure" }, job("running")];
  const { result, refresh, goOn } = begin();
  await waitFor(() => expect(result.current.job?.step).toBe("Searching"));
  now = job("done");
  await waitFor(() => expect(goOn).toHaveBeenCalled(), { timeout: 4000 });
  expect(refresh).toHaveBeenCalled();
  expect(result.current.job).toBeNull();
});

it("does not call the reader back from where they went meanwhile", async () => {
  const { result, refresh, goOn, unmount } = begin();
  act(() => result.current.start("/api/cases/c12/plans", {}));
  await waitFor(() => expect(result.current.job).not.toBeNull());
  unmount();
  now = job("done");
  await waitFor(() => expect(refresh).toHaveBeenCalled(), { timeout: 4000 });
  expect(goOn).not.toHaveBeenCalled();
});

it("says why a run that was found gave nothing", async () => {
  underWay = [job("running")];
  now = job("failed", "No plan keeps all limits.");
  const { result } = begin();
  await waitFor(() => expect(result.current.sentence).toBe(now.reason), { timeout: 4000 });
});

it("follows a run once that was begun while others were being looked for", async () => {
  let look: (value: unknown) => void = () => undefined;
  found = new Promise((resolve) => {
    look = resolve;
  });
  const { result, refresh, goOn } = begin();
  act(() => result.current.start("/api/cases/c12/plans", {}));
  await waitFor(() => expect(result.current.job).not.toBeNull());
  underWay = [job("running")];
  await act(async () => look(null));
  now = job("done");
  await waitFor(() => expect(result.current.job).toBeNull(), { timeout: 4000 });
  await new Promise((resolve) => setTimeout(resolve, ONE_MORE_ANSWER_MS));
  expect(refresh).toHaveBeenCalledOnce();
  expect(goOn).toHaveBeenCalledOnce();
});
