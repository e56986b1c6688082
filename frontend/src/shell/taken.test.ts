import { expect, it } from "vitest";
import type { Dossier, PlanSet } from "../api/records";
import { sampleRevision } from "../testing/sample";
import { chosenLetter, followedBefore, sideOf, takenInTheatre } from "./taken";

function plans(code: string, side: string): PlanSet {
  return { code, plans: [{ id: "B", closure: { donor_side: side } }] } as unknown as PlanSet;
}

function operated(plan_code: string): Dossier {
  const { dossier } = sampleRevision();
  const entered = {
    ...dossier.case,
    choice: { plan: "B", code: "C1" },
    operation: { plan_code, plan: "B" },
  };
  const stored = { plans: { code: "C1" }, theatre: { code: "T1" } };
  return { ...dossier, ...stored, case: entered } as unknown as Dossier;
}

const PLANNED = plans("C1", "patient's left");
const MADE = plans("T1", "patient's right");

it("names the side of the plan taken in theatre, not of the one planned before", () => {
  expect(takenInTheatre(operated("T1"))).toBe("B");
  expect(sideOf(operated("T1"), { plans: PLANNED, made: MADE }, true)).toBe("patient's right");
  for (const made of [null, plans("T0", "patient's left")]) {
    expect(sideOf(operated("T1"), { plans: PLANNED, made }, true)).toBeNull();
  }
});

it("keeps to the first plan while none of theatre was taken", () => {
  expect(takenInTheatre(operated("C1"))).toBeNull();
  expect(sideOf(operated("C1"), { plans: PLANNED, made: MADE }, true)).toBe("patient's left");
});

const REPLANNED = plans("C2", "patient's right");

function chosen(code: string): Dossier {
  const { dossier } = sampleRevision();
  const limits = { ...dossier.case.limits, flap_from: null };
  const entered = { ...dossier.case, limits, choice: { plan: "B", code } };
  return { ...dossier, case: entered, plans: { code: "C2" } } as unknown as Dossier;
}

it("reads a choice among earlier plans as none among these", () => {
  expect(chosenLetter(chosen("C1").case, REPLANNED)).toBeUndefined();
  expect(sideOf(chosen("C1"), { plans: REPLANNED }, false)).toBeNull();
  expect(sideOf(chosen("C2"), { plans: REPLANNED }, false)).toBe("patient's right");
  expect(chosenLetter(chosen("").case, REPLANNED)).toBe("B");
});

it("names no side from earlier plans while the new ones are read", () => {
  expect(sideOf(chosen("C2"), { plans: PLANNED }, false)).toBeNull();
});

it("names no side from other plans than those that the operation followed", () => {
  const dossier = { ...operated("C0"), signed: { flap_from: "patient's left" } } as Dossier;
  expect(followedBefore(dossier)).toEqual({ code: "C0", plan: "B" });
  expect(sideOf(dossier, { plans: PLANNED, made: MADE }, true)).toBeNull();
  expect(followedBefore(operated("C1"))).toBeNull();
});
