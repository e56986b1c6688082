import type { Case, Dossier, PlanSet } from "../api/records";

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
