/** Pits and passes of the probe as the surgeon enters them: added, renamed, removed, placed. */

import { asTyped, type Case, type Missing } from "../../api/records";
import { type Path, valueAt, without, withValue } from "../../editing/paths";

export type PitEntry = Case["pits"][number];
export type Probing = Case["probings"][number];

/** What is still to be measured: an empty text, which the server does not save. */
const TO_BE_MEASURED = asTyped("");

/** A case with one more pit, whose place is still to be measured. */
export function withPit(entered: Case): Case {
  const pit: PitEntry = {
    name: freeName(entered.pits.map(({ name }) => name)),
    above_coccyx_tip_mm: TO_BE_MEASURED,
    off_midline_mm: 0,
    side: null,
    radius_mm: 1,
  };
  return { ...entered, pits: [...entered.pits, pit] };
}

/** A case with one more pass of the probe from a pit; nothing of it is measured yet. */
export function withProbing(entered: Case, pit: string): Case {
  const probing: Probing = {
    tract: freeName(
      entered.probings.map(({ tract }) => tract),
      "T",
    ),
    pit,
    length_mm: TO_BE_MEASURED,
    tip_depth_mm: TO_BE_MEASURED,
    from_cranial_deg: TO_BE_MEASURED,
    side: null,
    outer_radius_mm: 2.5,
    cavity_radius_mm: null,
  };
  return { ...entered, probings: [...entered.probings, probing] };
}

/** A case without a pit and without what was probed from it. */
export function withoutPit(entered: Case, index: number): Case {
  const name = entered.pits[index]?.name;
  const probings = entered.probings.filter(({ pit }) => pit !== name);
  return { ...without(entered, ["pits", index]), probings };
}

/** A case in which a pit has another name, also where a probe went into it. */
export function withPitName(entered: Case, index: number, name: string): Case {
  const before = entered.pits[index]?.name;
  const probings = entered.probings.map((probing) =>
    probing.pit === before ? { ...probing, pit: name } : probing,
  );
  return { ...withValue(entered, ["pits", index, "name"], name), probings };
}

/** A case in which several entries below one place have other values. */
export function withEntries<T extends object>(entered: Case, at: Path, entries: T): Case {
  return Object.entries(entries).reduce(
    (whole, [key, value]) => withValue(whole, [...at, key], value),
    entered,
  );
}

export type Folds = NonNullable<Case["skin"]["folds"]>;
export const FOLDS = ["across_mm", "rising_right_mm", "along_mm", "rising_left_mm"] as const;

/** A case in which one pinched fold is as typed; when all four are empty none was pinched. */
export function withFold(entered: Case, name: keyof Folds, text: string): Case {
  const none = Object.fromEntries(FOLDS.map((each) => [each, TO_BE_MEASURED])) as Folds;
  const folds = { ...(entered.skin.folds ?? none), [name]: asTyped(text) };
  const isEmpty = FOLDS.every((each) => isOpen(folds[each]));
  return withValue(entered, ["skin", "folds"], isEmpty ? null : folds);
}

/** What was begun and has a number that is still to be measured; its name is the sentence. */
export function openEntries(entered: Case): Missing[] {
  const pits = entered.pits.map((pit, index) => ({
    is: isOpen(pit.above_coccyx_tip_mm),
    missing: { code: "open_pit", place: `pits.${index}`, sentence: pit.name },
  }));
  const probings = entered.probings.map((probing, index) => ({
    is: [probing.length_mm, probing.tip_depth_mm, probing.from_cranial_deg].some(isOpen),
    missing: { code: "open_probe", place: `probings.${index}`, sentence: probing.tract },
  }));
  return [...pits, ...probings].flatMap(({ is, missing }) => (is ? [missing] : []));
}

/** Whether nothing was typed where a number belongs. */
export function isOpen(value: unknown): boolean {
  return typeof value === "string" && value.trim() === "";
}

/** What was typed, or nothing at all where a number may be left out. */
export function typedOrNone(text: string): number | null {
  return text.trim() === "" ? null : asTyped(text);
}

/** A number that was read already, or nothing while it stands there as typed. */
export function readNumber(entered: Case, path: Path): number | null {
  const value = valueAt(entered, path);
  return typeof value === "number" ? value : null;
}

/** The first of 1, 2, 3 that is not taken. */
function freeName(taken: readonly string[], prefix = ""): string {
  let number = 1;
  while (taken.includes(`${prefix}${number}`)) number += 1;
  return `${prefix}${number}`;
}
