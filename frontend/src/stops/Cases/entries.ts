/** A new case as the server takes it: only what was entered, everything else has its default. */

import type { Answer } from "../../api/records";
import { SUBSTANCES } from "../../shell/Allergies";

export const SIGNS = ["redness", "swelling", "warmth", "pus_under_pressure", "fever"] as const;

export type Answers<Name extends string> = Record<Name, Answer>;

export type NewEntries = {
  label: string;
  identifier: string;
  birthDate: string | null;
  seenOn: string | null;
  signs: Answers<(typeof SIGNS)[number]>;
  allergies: Answers<(typeof SUBSTANCES)[number]>;
};

/** Every question answered alike; "not asked" to begin with. */
export function allAnswered<Name extends string>(
  names: readonly Name[],
  answer: Answer,
): Answers<Name> {
  return Object.fromEntries(names.map((name) => [name, answer])) as Answers<Name>;
}

export function firstEntries(today: string): NewEntries {
  return {
    label: "",
    identifier: "",
    birthDate: null,
    seenOn: today,
    signs: allAnswered(SIGNS, "not asked"),
    allergies: allAnswered(SUBSTANCES, "not asked"),
  };
}

export function caseFrom(entries: NewEntries) {
  return {
    schema: "crena.case/1",
    patient: {
      label: entries.label.trim(),
      identifier: entries.identifier.trim(),
      birth_date: entries.birthDate,
    },
    findings: { seen_on: entries.seenOn, acute_signs: entries.signs, allergies: entries.allergies },
  };
}
