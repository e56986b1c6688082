/** Which plan of a case counts: taken in theatre, chosen, followed; and the side it names. */

import type { Case, Dossier, PlanSet, Side } from "../api/records";

/** Letter of the plan made in theatre that the operation follows, or nothing. */
export function takenInTheatre({ case: entered, theatre }: Dossier): string | null {
  const { operation } = entered;
  return theatre && operation?.plan_code === theatre.code ? operation.plan : null;
}

/** Letter of the surgeon's choice, if it was made among these plans and not among earlier ones. */
export function chosenLetter(
  { choice }: Pick<Case, "choice">,
  plans: Pick<PlanSet, "code"> | null,
): string | undefined {
  if (!choice || !plans) return undefined;
  return choice.code === "" || choice.code === plans.code ? choice.plan : undefined;
}

/** The plan that the operation followed by its record, where the case has other plans now. */
export function followedBefore(dossier: Dossier): { code: string; plan: string } | null {
  const { operation } = dossier.case;
  const codes = [dossier.plans?.code, dossier.theatre?.code];
  if (!operation?.plan_code || codes.includes(operation.plan_code)) return null;
  return { code: operation.plan_code, plan: operation.plan };
}

/** The plans of a case: as made before the operation, and in theatre. */
type BothPlans = { plans: PlanSet | null; made?: PlanSet | null };

/**
 * The side that gives the flap: of the plan taken in theatre, else as signed, else of the chosen
 * plan, else as asked for. No side is named while that plan is still being read, nor where the
 * operation followed plans that the case has no more.
 */
export function sideOf(
  dossier: Dossier,
  { plans, made = null }: BothPlans,
  isSigned: boolean,
): Side | null {
  if (followedBefore(dossier)) return null;
  const taken = takenInTheatre(dossier);
  if (taken) return sideAmong(isInHand(dossier.theatre, made) ? made : null, taken);
  if (isSigned && dossier.signed) return dossier.signed.flap_from;
  const letter = chosenLetter(dossier.case, dossier.plans);
  if (letter === undefined) return dossier.case.limits.flap_from;
  return sideAmong(isInHand(dossier.plans, plans) ? plans : null, letter);
}

function sideAmong(plans: PlanSet | null, letter: string): Side | null {
  return plans?.plans.find((plan) => plan.id === letter)?.closure.donor_side ?? null;
}

type StoredPlans = Pick<PlanSet, "code">;

/** Plans that the case has were read, these and not earlier ones; or it has none. */
export function isInHand(kept: StoredPlans | null, plans: PlanSet | null): boolean {
  return kept === null || plans?.code === kept.code;
}
