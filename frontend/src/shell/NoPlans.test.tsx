import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, it, vi } from "vitest";
import { RefusedError, UnreachableError } from "../api/client";
import { queries } from "../api/queries";
import type { Dossier } from "../api/records";
import { speak } from "../i18n";
import { sampleRevision } from "../testing/sample";
import { NoPlans } from "./NoPlans";

afterEach(() => speak("en"));

const PLANNED = { ...sampleRevision().dossier, plans: { code: "C1" } } as Dossier;

function show(dossier: Dossier, error: Error | null = null) {
  const goTo = vi.fn();
  render(
    <NoPlans revision={sampleRevision({ dossier })} goTo={goTo} error={error}>
      Plans stand here.
    </NoPlans>,
  );
  return goTo;
}

it("leads to where the case is planned", async () => {
  const goTo = show(sampleRevision().dossier);
  expect(screen.getByText("Plans stand here.")).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Go to Disease and plan it" }));
  expect(goTo).toHaveBeenCalledWith("disease");
});

it("does not say that there are no plans while they are read", () => {
  show(PLANNED);
  expect(screen.queryByText("Plans stand here.")).toBeNull();
  expect(screen.getByText("Reading the case")).toBeTruthy();
});

it("says why plans cannot be read, and tries again", async () => {
  const again = vi.spyOn(queries, "invalidateQueries").mockResolvedValue();
  show(PLANNED, new RefusedError(500, { detail: "The file is damaged." }));
  expect(screen.getByText("This could not be read: The file is damaged.")).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Try again" }));
  expect(again).toHaveBeenCalled();
});

it("speaks the page's language where no server answers", () => {
  speak("de");
  expect(new UnreachableError().message).toMatch(/^Der Server antwortet nicht/);
});
