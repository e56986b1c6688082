import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, it, vi } from "vitest";
import type { Case } from "../../api/records";
import { speak } from "../../i18n";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { ReadingForm } from "./ReadingForm";

afterEach(() => speak("en"));

const READ = { operation_ended_at: "2026-11-24T10:00", readings: [] };
const ENTERED = {
  ...sampleRevision().dossier.case,
  operation: null,
  aftercare: { drain: READ, complications: [] },
} as unknown as Case;

async function enter(time: string, drain: typeof READ | null = READ) {
  const edit = vi.fn();
  const entered = { ...ENTERED, aftercare: { ...ENTERED.aftercare, drain } };
  const props = { entered, edit, today: "2026-11-26" } as unknown as StopProps;
  const shown = render(<ReadingForm {...props} />);
  await userEvent.type(screen.getByLabelText("Volume"), "40");
  await userEvent.clear(screen.getByLabelText("Emptied"));
  await userEvent.type(screen.getByLabelText("Emptied"), time);
  await userEvent.click(screen.getByRole("button", { name: "Save the reading" }));
  return { edit, again: () => shown.rerender(<ReadingForm {...props} />) };
}

it("is not saved while its time cannot be read, and says so beside the time", async () => {
  const { edit } = await enter("25/11/2026 08:30");
  expect(edit).not.toHaveBeenCalled();
  expect(screen.getByText("Correct the time first.")).toBeTruthy();
  expect(screen.getByText(/Write it like 3 Apr 2026, 08:30/)).toBeTruthy();
});

it("is not saved with a time of tomorrow", async () => {
  const { edit } = await enter("27 Nov 2026 08:30");
  expect(edit).not.toHaveBeenCalled();
  expect(screen.getByText(/This lies after 26 Nov 2026/)).toBeTruthy();
});

it("is saved with the time that was typed", async () => {
  const { edit } = await enter("25 Nov 2026 08:30");
  const change = edit.mock.lastCall?.[1] as (before: Case) => Case;
  expect(change(ENTERED).aftercare.drain?.readings).toMatchObject([
    { emptied_at: "2026-11-25T08:30", volume_ml: "40" },
  ]);
});

it("keeps an unreadable time in sight while the clock goes on", async () => {
  vi.useFakeTimers({ toFake: ["Date"], now: new Date("2026-11-25T09:00:00") });
  const { edit, again } = await enter("25/11/2026 08:30");
  vi.setSystemTime(new Date("2026-11-25T09:07:00"));
  again();
  await userEvent.click(screen.getByRole("button", { name: "Save the reading" }));
  vi.useRealTimers();
  expect(edit).not.toHaveBeenCalled();
  expect(screen.getByLabelText<HTMLInputElement>("Emptied").value).toBe("25/11/2026 08:30");
});

it("of a drain that begins waits for the end of the operation to be readable", async () => {
  const { edit } = await enter("25 Nov 2026 08:30", null);
  await userEvent.type(screen.getByLabelText("The operation ended"), "24/11/2026 10:00");
  await userEvent.click(screen.getByRole("button", { name: "Save the reading" }));
  expect(edit).not.toHaveBeenCalled();
  expect(screen.getByText("Correct the time first.")).toBeTruthy();
});
