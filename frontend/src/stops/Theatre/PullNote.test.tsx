import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { queries } from "../../api/queries";
import type { Job, PlanSet } from "../../api/records";
import { sampleRevision } from "../../testing/sample";
import { PullNote } from "./PullNote";
import { usePull } from "./usePull";

const REASON = "The server stopped while this ran. Nothing of the case is lost; start it again.";
const WITHOUT_PULL = { plans: [{ id: "A", mechanics: null }] } as unknown as PlanSet;

const job = (state: Job["state"], reason = ""): Job => ({
  job_id: "j1",
  case_id: "c12",
  kind: "plan in theatre",
  state,
  step: "Closing plan A",
  share_ratio: 0.5,
  reason,
  result_sha256: "",
});

let asked: string[] = [];
let last: Job | null = null;
let afterwards: Job[] = [];

/** A server that knows one job: how it ended last, and how it goes on once it is asked for. */
function serve(path: string, request: RequestInit): Response {
  const method = request.method ?? "GET";
  asked.push(`${method} ${path}`);
  if (method === "POST") last = job("running");
  if (path === "/api/jobs/j1") last = afterwards.shift() ?? last;
  return Response.json(last);
}

beforeEach(() => {
  asked = [];
  queries.clear();
  vi.stubGlobal("fetch", async (path: string, request: RequestInit) => serve(path, request));
});
afterEach(() => vi.unstubAllGlobals());

function Shown({ refresh, made }: { refresh: () => Promise<never>; made: PlanSet }) {
  return <PullNote pull={usePull({ revision: sampleRevision(), refresh }, made)} />;
}

function show(made: PlanSet = WITHOUT_PULL) {
  const refresh = vi.fn(async () => undefined as never);
  render(
    <QueryClientProvider client={queries}>
      <Shown refresh={refresh} made={made} />
    </QueryClientProvider>,
  );
  return refresh;
}

it("says why the pull is not there and computes it again", async () => {
  last = job("interrupted", REASON);
  afterwards = [job("done")];
  const refresh = show();
  expect(await screen.findByText(REASON)).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Compute the pull" }));
  await waitFor(() => expect(refresh).toHaveBeenCalled());
  expect(asked).toContain("POST /api/cases/c12/theatre/figures");
});

it("goes on showing a run that an earlier page began, and why it ended", async () => {
  last = job("running");
  afterwards = [job("running"), job("cancelled", "Stopped.")];
  const refresh = show();
  expect(await screen.findByText("Closing plan A")).toBeTruthy();
  expect(await screen.findByText("Stopped.", {}, { timeout: 4000 })).toBeTruthy();
  expect(refresh).toHaveBeenCalled();
  expect(screen.getByRole("button", { name: "Compute the pull" })).toBeTruthy();
});

it("can be asked for where nobody ever asked", async () => {
  last = null;
  show();
  expect(await screen.findByRole("button", { name: "Compute the pull" })).toBeTruthy();
});

it("says nothing where the pull is there or found no figure", () => {
  const made = { plans: [{ id: "A", mechanics: { reason: "No balance." } }] } as never;
  show(made);
  expect(screen.queryByRole("button")).toBeNull();
  expect(asked).toEqual([]);
});
