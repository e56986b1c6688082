import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, it, vi } from "vitest";
import type { Dossier } from "../../api/records";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { isOperated, Operated, PlanButton } from "./PlanButton";

const PLANS = { code: "C123456" } as Dossier["plans"];

function show(wasDone: boolean, plans = PLANS) {
  const goTo = vi.fn();
  const { dossier } = sampleRevision();
  const operation = wasDone ? { operated_on: "2026-11-20" } : null;
  const entered = { ...dossier.case, operation };
  const revision = sampleRevision({ dossier: { ...dossier, plans } });
  const props = { revision, entered, goTo } as unknown as StopProps;
  render(
    <>
      {isOperated(props) ? <Operated /> : null}
      <PlanButton {...props} missing={0} />
    </>,
  );
  return goTo;
}

it("offers no other plan once the operation is recorded, and says what to do", async () => {
  const goTo = show(true);
  expect(screen.queryByRole("button", { name: "Plan again" })).toBeNull();
  expect(screen.getByText(/make a new case/)).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Go to Theatre" }));
  expect(goTo).toHaveBeenCalledWith("theatre");
});

it("plans again before the operation, and an operated case that has no plan", () => {
  show(false);
  show(true, null);
  expect(screen.getByRole("button", { name: "Plan again" })).toBeTruthy();
  expect(screen.getByRole("button", { name: "Plan the excision" })).toBeTruthy();
});
