/** Entries that the server refused: kept as typed on the page, left out of what is saved. */

import type { Refusal } from "../api/client";
import type { Case } from "../api/records";
import { type Path, samePath, valueAt, without, withValue } from "./paths";

/** Refusals of a dossier as places in its case; what lies elsewhere has no field on the page. */
export function inCase(refusals: readonly Refusal[]): Refusal[] {
  return refusals
    .filter((refusal) => refusal.path[0] === "case")
    .map((refusal) => ({ ...refusal, path: refusal.path.slice(1) }));
}

/** Those refusals whose entry still says the same. */
export function stillStanding(
  refusals: readonly Refusal[],
  before: Case,
  after: Case,
): readonly Refusal[] {
  return refusals.filter((r) => valueAt(before, r.path) === valueAt(after, r.path));
}

/** The sentence on one entry, or nothing. */
export function sentenceAt(refusals: readonly Refusal[], path: Path): string | null {
  return refusals.find((refusal) => samePath(refusal.path, path))?.sentence ?? null;
}

/**
 * What can be saved: the entries with the last saved value at each refused place.
 *
 * An entry of a list that was never saved is left out as a whole.
 */
export function settable(entered: Case, saved: Case, refusals: readonly Refusal[]): Case {
  const paths = refusals.map((refusal) => refusal.path);
  return paths.sort(fromTheEnd).reduce((whole, path) => asSaved(whole, saved, path), entered);
}

function asSaved(whole: Case, saved: Case, path: Path): Case {
  const before = valueAt(saved, path);
  if (before !== undefined) return withValue(whole, path, before);
  const entry = path.findIndex(
    (key, i) => valueAt(saved, path.slice(0, i + 1)) === undefined && isIndex(key),
  );
  return entry < 0 ? asNone(whole, saved, path) : without(whole, path.slice(0, entry + 1));
}

/** A record that was never saved, like skin folds half measured, is left out as a whole. */
function asNone(whole: Case, saved: Case, path: Path): Case {
  const none = path.findIndex((_, i) => valueAt(saved, path.slice(0, i + 1)) === null);
  return none < 0 ? whole : withValue(whole, path.slice(0, none + 1), null);
}

/** Later entries of a list first, so that leaving one out does not move the others. */
function fromTheEnd(a: Path, b: Path): number {
  const at = a.findIndex((key, i) => key !== b[i]);
  return Number(b[at]) - Number(a[at]) || b.length - a.length;
}

function isIndex(key: string | number): boolean {
  return Number.isInteger(Number(key));
}
