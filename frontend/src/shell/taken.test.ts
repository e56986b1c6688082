import { expect, it } from "vitest";
import type { Dossier, PlanSet } from "../api/records";
import { sideOf } from "../CasePage";
import { sampleRevision } from "../testing/sample";
import { takenInTheatre } from "./taken";

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
  return { ...dossier, case: entered, theatre: { code: "T1" } } as unknown as Dossier;
}

const PLANNED = plans("C1", "patient's left");
const MADE = plans("T1", "patient's right");

it("names the side of the plan taken in theatre, not of the one planned before", () => {
  expect(takenInTheatre(operated("T1"))).toBe("B");
  expect(sideOf(operated("T1"), { plans: PLANNED, made: MADE }, true)).toBe("patient's right");
  expect(sideOf(operated("T1"), { plans: PLANNED, made: null }, true)).toBeNull();
});

it("keeps to the first plan while none of theatre was taken", () => {
  expect(takenInTheatre(operated("C1"))).toBeNull();
  expect(sideOf(operated("C1"), { plans: PLANNED, made: MADE }, true)).toBe("patient's left");
});
