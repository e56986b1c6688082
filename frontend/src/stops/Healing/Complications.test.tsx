import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, it, vi } from "vitest";
import { queries } from "../../api/queries";
import type { Case } from "../../api/records";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { Complications } from "./Complications";

afterEach(() => {
  vi.unstubAllGlobals();
  queries.clear();
});

const RULE = {
  grade: "I",
  means_english: "No treatment needed.",
  means_german: "Keine Behandlung nötig.",
  basis: { source: "a paper" },
  here_english: "none",
  here_german: "keine",
  here_source: "this unit",
};

async function note(day: string) {
  vi.stubGlobal("fetch", async () => Response.json([RULE]));
  const entered = {
    ...sampleRevision().dossier.case,
    aftercare: { drain: null, complications: [] },
  } as unknown as Case;
  const edit = vi.fn();
  const props = { entered, edit, refusals: [], today: "2026-11-26" } as unknown as StopProps;
  render(
    <QueryClientProvider client={queries}>
      <Complications {...props} />
    </QueryClientProvider>,
  );
  await userEvent.click(await screen.findByText("Record a complication"));
  await userEvent.type(screen.getByLabelText("What was it"), "Seroma");
  await userEvent.click(screen.getAllByRole("radio")[0] as HTMLElement);
  await userEvent.clear(screen.getByLabelText("Noted on"));
  if (day) await userEvent.type(screen.getByLabelText("Noted on"), day);
  await userEvent.click(screen.getByRole("button", { name: "Record it" }));
  return { edit, change: edit.mock.lastCall?.[1] as (before: Case) => Case, entered };
}

it.each([
  ["25/11/2026", "Correct the day first."],
  ["27 Nov 2026", "Correct the day first."],
  ["", "Say on which day it was noted."],
])("is not recorded with the day “%s”, and says why", async (day, why) => {
  const { edit } = await note(day);
  expect(edit).not.toHaveBeenCalled();
  expect(screen.getByText(why)).toBeTruthy();
});

it("is recorded on the day that was typed", async () => {
  const { change, entered } = await note("25 Nov 2026");
  expect(change(entered).aftercare.complications).toMatchObject([
    { noted_on: "2026-11-25", what: "Seroma" },
  ]);
});
