import { fireEvent, render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import axe from "axe-core";
import { useState } from "react";
import { beforeEach, expect, it, vi } from "vitest";
import type { Answer, Dossier, RoadStop } from "../api/records";
import { speak } from "../i18n";
import { say } from "../i18n/say";
import { stubDevice } from "../testing/device";
import { sampleRevision } from "../testing/sample";
import { stateOf } from "./Allergies";
import { CaseStrip } from "./CaseStrip";
import { AnswerChoice } from "./Choice";
import { NumberField, textOf } from "./NumberField";
import { PrimaryButton } from "./PrimaryButton";
import { Road } from "./Road";

beforeEach(() => {
  speak("en");
  stubDevice();
});

const DOSSIER = sampleRevision().dossier;
const ALLERGIES = DOSSIER.case.findings.allergies;

it("says a side in full words, or that none is chosen", () => {
  const { container, rerender } = render(
    <CaseStrip
      open={{ dossier: DOSSIER, side: "patient's right", isOld: false }}
      today="2026-11-25"
    />,
  );
  expect(container.textContent).toContain("Flap from the patient’s right");
  expect(container.textContent).toContain("not a medical device");
  rerender(<CaseStrip open={{ dossier: DOSSIER, side: null, isOld: false }} today="2026-11-25" />);
  expect(container.textContent).toContain("Side not chosen yet");
});

it("never says that no side is chosen while it is still being read", () => {
  const open = { dossier: DOSSIER, side: null, isSideUnread: true, isOld: false };
  const { container } = render(<CaseStrip open={open} today="2026-11-25" />);
  expect(container.textContent).toContain("Side being read");
  expect(container.textContent).not.toContain("not chosen");
});

it("names the plans that the operation followed, where the case has others now", () => {
  const operation = { plan_code: "C0", plan: "B" };
  const entered = { ...DOSSIER.case, choice: { plan: "A", code: "C1" }, operation };
  const dossier = { ...DOSSIER, case: entered, plans: { code: "C1" } } as unknown as Dossier;
  const open = { dossier, side: null, isOld: false, isSigned: true };
  const { container } = render(<CaseStrip open={open} today="2026-11-25" />);
  expect(container.textContent).toContain("Plan C0, plan B, followed at the operation");
  expect(container.textContent).toContain("Side of the operation not at hand");
});

it("does not call a plan chosen that was chosen among earlier plans", () => {
  const entered = { ...DOSSIER.case, choice: { plan: "B", code: "C1" } };
  const dossier = { ...DOSSIER, case: entered, plans: { code: "C2" } } as unknown as Dossier;
  const open = { dossier, side: null, isOld: false };
  const { container } = render(<CaseStrip open={open} today="2026-11-25" />);
  expect(container.textContent).toContain("Plan C2, not chosen yet");
});

it("never calls allergies none before each was asked", () => {
  expect(stateOf(ALLERGIES)).toBe("none");
  expect(stateOf({ ...ALLERGIES, latex: "not asked" })).toBe("open");
  expect(stateOf({ ...ALLERGIES, latex: "not asked", dye: "yes" })).toBe("known");
});

it("passes a number on exactly as it was typed, and keeps it in sight", async () => {
  const heard: string[] = [];
  render(<Length heard={heard} />);
  const field = screen.getByLabelText("Length");
  await userEvent.clear(field);
  await userEvent.type(field, "280,");
  fireEvent.blur(field);
  expect(heard.at(-1)).toBe("280,");
  expect((field as HTMLInputElement).value).toBe("280,");
  expect(field.getAttribute("aria-invalid")).toBe("true");
});

it("shows a saved number in the reader's digits", () => {
  expect(textOf(12.5)).toBe("12.5");
  speak("de");
  expect(textOf(12.5)).toBe("12,5");
  expect(textOf("12.5 mm")).toBe("12.5 mm");
});

it("keeps a question that was not asked open, and is answered by arrow keys", async () => {
  const onChoose = vi.fn<(answer: Answer) => void>();
  render(<AnswerChoice label="Latex" value="not asked" onChoose={onChoose} />);
  await userEvent.tab();
  expect(document.activeElement).toBe(screen.getByLabelText("not asked"));
  await userEvent.keyboard("{ArrowUp}");
  expect(onChoose).toHaveBeenCalledWith("yes");
});

it("does nothing while it is off, and says why", async () => {
  const onPress = vi.fn();
  render(
    <PrimaryButton off="Choose a plan first." onPress={onPress}>
      Print
    </PrimaryButton>,
  );
  const button = screen.getByRole("button");
  await userEvent.click(button);
  expect(onPress).not.toHaveBeenCalled();
  expect(document.getElementById(button.getAttribute("aria-describedby") ?? "")?.textContent).toBe(
    "Choose a plan first.",
  );
});

it("marks the stop where one is, and links every other", () => {
  render(<Road caseId="c12" here="closure" road={null} />);
  const links = screen.getAllByRole("link");
  expect(links).toHaveLength(7);
  expect(
    links
      .filter((link) => link.getAttribute("aria-current") === "step")
      .map((link) => link.textContent),
  ).toEqual(["Closure"]);
});

it("says on the road what is there or missing, in the reader's words", () => {
  const stop = (name: string, state: RoadStop["state"], code: string, figures = {}) => ({
    name,
    state,
    code,
    figures,
  });
  const stops = [
    stop("disease", "done", "tracts", { count: "2" }),
    stop("excision", "old", "clear_by", { mm: "7" }),
    stop("closure", "here", "choose_plan"),
    stop("theatre", "later", "operated", { day: "2024-12-06" }),
  ];
  speak("de");
  render(<Road caseId="c12" here="closure" road={{ stops }} />);
  expect(screen.getAllByRole("link").map((link) => link.textContent)).toEqual([
    `Befunderledigt: ${say("road", "tracts", { count: 2 })}`,
    "ExzisionAAlt",
    `Verschlusshier: ${say("road", "choose_plan")}`,
    "Anzeichnung",
    "Operationspäter: 6. Dezember 2024",
    "Heilung",
    "Ergebnisse",
  ]);
});

it("has no fault that a checker of accessibility finds", async () => {
  const { container } = render(
    <main>
      <h1>Case</h1>
      <CaseStrip
        open={{ dossier: DOSSIER, side: "patient's left", isOld: true }}
        today="2026-11-25"
      />
      <AnswerChoice label="Latex" value="no" onChoose={() => undefined} />
      <NumberField label="Length" unit="mm" value={28} onType={() => undefined} />
      <Road caseId="c12" here="disease" road={null} />
    </main>,
  );
  // jsdom draws nothing, so colours are checked in the contrast test and in a real browser.
  const found = await axe.run(container, { rules: { "color-contrast": { enabled: false } } });
  expect(found.violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`)).toEqual([]);
});

/** A field that holds what was typed, as the editor does. */
function Length({ heard }: { heard: string[] }) {
  const [value, setValue] = useState<number | string | null>(28.5);
  const type = (text: string) => {
    heard.push(text);
    setValue(text);
  };
  return (
    <NumberField label="Length" unit="mm" value={value} sentence="Did you mean 28?" onType={type} />
  );
}
