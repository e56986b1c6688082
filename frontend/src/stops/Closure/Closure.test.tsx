import { QueryClientProvider } from "@tanstack/react-query";
import { act, render, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { queries, readCaseAnew } from "../../api/queries";
import type { Dossier, Job, Plan } from "../../api/records";
import { keepMoves, placing } from "../../moving/moves";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { Closure } from ".";

// What is drawn is tried elsewhere; here only which plan is.
vi.mock("./film", () => ({ Film: () => null }));
vi.mock("./PlanFigures", () => ({ PlanFigures: () => null }));
vi.mock("./PlanList", () => ({
  PlanList: ({ plans: all, chosen }: { plans: Plan[]; chosen: string }) => {
    shown.add(`${chosen} of ${all.length}`);
    return null;
  },
}));
vi.mock("./ScarAfter", () => ({ ScarAfter: () => null }));
vi.mock("../../moving/LimitList", () => ({ LimitList: () => null }));

const shown = new Set<string>();

const plan = (id: string) => ({ id, limits: [], excision: {}, closure: {} });
const planSet = (code: string, letters: string) => ({
  code,
  chosen: "A",
  order: "",
  would_change: "",
  refused: [],
  cautions: [],
  plans: [...letters].map(plan),
});

const RUNNING = {
  job_id: "j1",
  case_id: "c12",
  kind: "close the moved plan",
  state: "running",
  step: "Pull",
  share_ratio: 0.5,
  reason: "",
  result_sha256: "",
} as Job;

let plans = planSet("C1", "ABC");
let job: Job = RUNNING;

beforeEach(() => {
  plans = planSet("C1", "ABC");
  job = RUNNING;
  keepMoves("C1", "B", [placing("A", [3, 40])]);
  vi.stubGlobal("fetch", async (path: string) => {
    if (path.endsWith("/plans")) return Response.json(plans);
    if (path.endsWith("/preview")) return Response.json({ ...plan("B"), handles: [] });
    if (path.endsWith("/jobs")) return Response.json([]);
    return Response.json(job);
  });
});
afterEach(() => {
  vi.unstubAllGlobals();
  sessionStorage.clear();
  queries.clear();
});

/** The case page, as far as it concerns a stop; it waits for all that is read anew. */
function Page({ read }: { read: Promise<unknown> }) {
  const { dossier, ...rest } = sampleRevision();
  const [code, setCode] = useState("C1");
  const chosen = { ...dossier.case, choice: { plan: "B", code: "C1" }, operation: null };
  const revision = { ...rest, dossier: { ...dossier, case: chosen, plans: { code } } as Dossier };
  const refresh = async () => {
    setCode(plans.code);
    await Promise.all([readCaseAnew("c12"), read]);
    return revision;
  };
  const props = { revision, entered: chosen, refresh, saved: async () => revision };
  return <Closure {...({ ...props, edit: vi.fn() } as unknown as StopProps)} />;
}

it("brings up the plan that was kept, and never the unmoved one in its place", async () => {
  let allRead: (value: unknown) => void = () => undefined;
  const read = new Promise((resolve) => {
    allRead = resolve;
  });
  render(
    <QueryClientProvider client={queries}>
      <Page read={read} />
    </QueryClientProvider>,
  );
  await userEvent.click(await screen.findByRole("button", { name: "Keep as my plan" }));
  plans = planSet("C2", "ABCD");
  job = { ...RUNNING, state: "done" };
  const kept = { name: "Choose plan D" };
  await waitFor(() => expect(screen.getByRole("button", kept)).toBeTruthy(), { timeout: 4000 });
  await act(async () => allRead(null));
  expect(screen.getByRole("button", kept)).toBeTruthy();
  expect([...shown]).toEqual(["B of 3", "D of 4"]);
});
