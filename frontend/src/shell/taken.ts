import type { Dossier } from "../api/records";

/** Letter of the plan made in theatre that the operation follows, or nothing. */
export function takenInTheatre({ case: entered, theatre }: Dossier): string | null {
  const { operation } = entered;
  return theatre && operation?.plan_code === theatre.code ? operation.plan : null;
}
