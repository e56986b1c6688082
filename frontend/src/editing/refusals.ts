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
  const gaps = gapsOf(saved, refusals);
  const kept = refusals.filter(({ path }) => !gaps.some((gap) => isWithin(path, gap)));
  const whole = kept.reduce((case_, { path }) => asSaved(case_, saved, path), entered);
  return gaps.reduceRight((case_, gap) => without(case_, gap), whole);
}

function asSaved(whole: Case, saved: Case, path: Path): Case {
  const before = valueAt(saved, path);
  return before === undefined ? asNone(whole, saved, path) : withValue(whole, path, before);
}

/** A record that was never saved, like skin folds half measured, is left out as a whole. */
function asNone(whole: Case, saved: Case, path: Path): Case {
  const none = path.findIndex((_, i) => valueAt(saved, path.slice(0, i + 1)) === null);
  return none < 0 ? whole : withValue(whole, path.slice(0, none + 1), null);
}

/**
 * Refusals of what was sent as places in what was entered: an entry that was left out of a list
 * moved those behind it.
 */
export function asEntered(
  found: readonly Refusal[],
  saved: Case,
  leftOut: readonly Refusal[],
): Refusal[] {
  const gaps = gapsOf(saved, leftOut);
  return found.map((refusal) => ({ ...refusal, path: gaps.reduce(movedBehind, refusal.path) }));
}

/** The entries of lists that are left out because something in them was refused, in order. */
function gapsOf(saved: Case, refusals: readonly Refusal[]): Path[] {
  const gaps = refusals.flatMap(({ path }) => {
    const entry = path.findIndex(
      (key, i) => valueAt(saved, path.slice(0, i + 1)) === undefined && isIndex(key),
    );
    return entry < 0 ? [] : [path.slice(0, entry + 1)];
  });
  const once = gaps.filter((gap, i) => gaps.findIndex((other) => samePath(gap, other)) === i);
  return once.sort((a, b) => Number(a.at(-1)) - Number(b.at(-1)));
}

function movedBehind(path: Path, gap: Path): Path {
  const at = gap.length - 1;
  const isBefore = Number(path[at]) < Number(gap[at]);
  if (path.length <= at || isBefore || !isWithin(path, gap.slice(0, at))) return path;
  return [...path.slice(0, at), Number(path[at]) + 1, ...path.slice(at + 1)];
}

function isWithin(path: Path, outer: Path): boolean {
  return samePath(path.slice(0, outer.length), outer);
}

function isIndex(key: string | number): boolean {
  return Number.isInteger(Number(key));
}
