import type { Plan, PlanSet } from "../../api/records";

/** The plan that is drawn: the one asked for, or else the one that the server draws. */
export function drawnPlan(plans: PlanSet, letter: string | undefined): Plan {
  const named = (id: string | undefined) => plans.plans.find((plan) => plan.id === id);
  const plan = named(letter) ?? named(plans.chosen) ?? plans.plans[0];
  if (!plan) throw new Error("A plan set holds at least one plan.");
  return plan;
}
