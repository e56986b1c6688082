/** Two people changed one case: what differs, and whether both can be kept. */

import type { Case } from "../api/records";
import { differences, type Path, valueAt, withValue } from "./paths";

/** One place that is not alike, with what each side has there. */
export type Differing = { path: Path; mine: unknown; theirs: unknown };

export function differing(mine: Case, theirs: Case): Differing[] {
  return differences(mine, theirs).map((path) => ({
    path,
    mine: valueAt(mine, path),
    theirs: valueAt(theirs, path),
  }));
}

/** Both sides' changes in one case; nothing if both changed the same place. */
export function both(base: Case, mine: Case, theirs: Case): Case | null {
  const ours = differences(base, mine);
  const others = differences(base, theirs);
  if (ours.some((path) => others.some((other) => touch(path, other)))) return null;
  return ours.reduce((whole, path) => withValue(whole, path, valueAt(mine, path)), theirs);
}

function touch(a: Path, b: Path): boolean {
  const shared = Math.min(a.length, b.length);
  return a.slice(0, shared).every((key, i) => key === b[i]);
}
