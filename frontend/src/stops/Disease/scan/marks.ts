/** What is marked on a scan: its places in the case, one by one, and changes of them. */

import type { Case, ScanClicks } from "../../../api/records";
import { type Path, valueAt, without, withValue } from "../../../editing/paths";

/** A place in the patient, LPS mm, as the case has it. */
export type Place = readonly [number, number, number];

export type MarkKind =
  | "coccyx_tip"
  | "sacral_crest"
  | "anal_verge"
  | "pit"
  | "blind_end"
  | "way_point"
  | "cavity"
  | "midline_bone"
  | "presacral"
  | "gluteal";

/** Something that can be marked: once, or by as many points as one likes. */
export type Target = {
  kind: MarkKind;
  /** Of the tract or cavity; empty for all else. */
  of: string;
  /** Below `clicks`. */
  path: Path;
  many: boolean;
};

/** One point that was set. */
export type Mark = { target: Target; path: Path; place: Place; number: number };

const LANDMARKS = ["coccyx_tip", "sacral_crest", "anal_verge"] as const;
const LISTS = ["midline_bone", "presacral", "gluteal"] as const;

export const EMPTY_CLICKS = {
  series_uid: "",
  coccyx_tip_lps_mm: null,
  sacral_crest_lps_mm: null,
  anal_verge_lps_mm: null,
  midline_bone_lps_mm: [],
  tracts: [],
  cavities: [],
  presacral_lps_mm: [],
  gluteal_lps_mm: [],
} as unknown as ScanClicks;

export function landmarkTargets(): Target[] {
  return LANDMARKS.map((kind) => ({ kind, of: "", path: [`${kind}_lps_mm`], many: false }));
}

export function floorTargets(): Target[] {
  return LISTS.map((kind) => ({ kind, of: "", path: [`${kind}_lps_mm`], many: true }));
}

export function tractTargets(clicks: ScanClicks, n: number): Target[] {
  const of = clicks.tracts[n]?.name ?? "";
  return [
    { kind: "pit", of, path: ["tracts", n, "pit_lps_mm"], many: false },
    { kind: "blind_end", of, path: ["tracts", n, "blind_end_lps_mm"], many: false },
    { kind: "way_point", of, path: ["tracts", n, "way_points_lps_mm"], many: true },
  ];
}

export function cavityTarget(clicks: ScanClicks, n: number): Target {
  const of = clicks.cavities[n]?.name ?? "";
  return { kind: "cavity", of, path: ["cavities", n, "middle_lps_mm"], many: false };
}

export function allTargets(clicks: ScanClicks): Target[] {
  return [
    ...landmarkTargets(),
    ...clicks.tracts.flatMap((_, n) => tractTargets(clicks, n)),
    ...clicks.cavities.map((_, n) => cavityTarget(clicks, n)),
    ...floorTargets(),
  ];
}

/** The points of a target that are set. */
export function marksOf(clicks: ScanClicks, target: Target): Mark[] {
  const found = valueAt(clicks, target.path) as Place | readonly Place[] | null | undefined;
  if (!found) return [];
  if (!target.many) return [{ target, path: target.path, place: found as Place, number: 1 }];
  return (found as readonly Place[]).map((place, n) => ({
    target,
    path: [...target.path, n],
    place,
    number: n + 1,
  }));
}

export function sameTarget(a: Target | null, b: Target | null): boolean {
  return a !== null && b !== null && a.path.join() === b.path.join();
}

/** The clicks of a case, or those of a case that has none yet. */
export function clicksOf(entered: Case): ScanClicks {
  return entered.clicks ?? EMPTY_CLICKS;
}

/** The case with a point set: moved if one was chosen, else one more, else the only one. */
export function withMark(
  entered: Case,
  target: Target,
  chosen: number | null,
  place: Place,
  seriesUid: string,
): Case {
  const clicks = { ...clicksOf(entered), series_uid: seriesUid };
  if (isNewCavity(clicks, target)) return withCavity(entered, target.of, place, seriesUid);
  const count = marksOf(clicks, target).length;
  const path = target.many ? [...target.path, (chosen ?? count + 1) - 1] : target.path;
  return { ...entered, clicks: withValue(clicks, path, place) };
}

/** The case without one point. */
export function withoutMark(entered: Case, mark: Mark): Case {
  const clicks = clicksOf(entered);
  const left = mark.target.many ? without(clicks, mark.path) : withValue(clicks, mark.path, null);
  return { ...entered, clicks: left };
}

/** The case with one more tract or cavity, nothing of it marked yet. */
export function withTract(entered: Case): Case {
  const clicks = clicksOf(entered);
  const name = freeName(entered);
  const tract = { name, pit_lps_mm: null, blind_end_lps_mm: null, way_points_lps_mm: [] };
  const tracts = [...clicks.tracts, tract] as unknown as ScanClicks["tracts"];
  return { ...entered, clicks: { ...clicks, tracts } };
}

export function withName(entered: Case, path: Path, name: string): Case {
  return { ...entered, clicks: withValue(clicksOf(entered), [...path, "name"], name) };
}

export function withoutPart(entered: Case, path: Path): Case {
  return { ...entered, clicks: without(clicksOf(entered), path) };
}

/** The case with a cavity, which begins with its middle. */
function withCavity(entered: Case, name: string, place: Place, seriesUid: string): Case {
  const clicks = { ...clicksOf(entered), series_uid: seriesUid };
  const cavity = { name, middle_lps_mm: place } as unknown as ScanClicks["cavities"][number];
  return { ...entered, clicks: { ...clicks, cavities: [...clicks.cavities, cavity] } };
}

/** A probed tract that is not marked yet, or the next free T and number. */
function freeName(entered: Case): string {
  const taken = new Set(clicksOf(entered).tracts.map((tract) => tract.name));
  const probed = entered.probings.map((probing) => probing.tract).find((name) => !taken.has(name));
  if (probed) return probed;
  for (let n = 1; ; n++) if (!taken.has(`T${n}`)) return `T${n}`;
}

/** The cavity that the next click makes. */
export function newCavity(entered: Case, word: string): Target {
  const taken = new Set(clicksOf(entered).cavities.map((cavity) => cavity.name));
  let n = 1;
  while (taken.has(`${word} ${n}`)) n++;
  const path = ["cavities", clicksOf(entered).cavities.length, "middle_lps_mm"];
  return { kind: "cavity", of: `${word} ${n}`, path, many: false };
}

function isNewCavity(clicks: ScanClicks, target: Target): boolean {
  return target.kind === "cavity" && Number(target.path[1]) >= clicks.cavities.length;
}
