import type { Case } from "../api/records";
import { day } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { Rich } from "./Rich";

type Findings = Case["findings"];

/** The substances that are asked for, in the order of the record. */
export const SUBSTANCES = [
  "dye",
  "local_anaesthetic",
  "antibiotic",
  "antiseptic",
  "latex",
  "plaster",
] as const;

/** What is known of allergies, in a few words; what was not asked is said too. */
export function Allergies({ findings, today }: { findings: Findings; today: string }) {
  const t = useSay();
  const { allergies, seen_on } = findings;
  const known = SUBSTANCES.filter((substance) => allergies[substance] === "yes");
  const figures = {
    day: day(seen_on, today),
    what: known.map((substance) => t(`allergy.${substance}`)).join(", "),
  };
  return (
    <span>
      <Rich say={`strip.allergies_${stateOf(allergies)}`} figures={figures} />
    </span>
  );
}

/** The worst that is known comes first: an allergy, then a gap, then none. */
export function stateOf(allergies: Findings["allergies"]): "known" | "unasked" | "open" | "none" {
  const answers = SUBSTANCES.map((substance) => allergies[substance]);
  if (answers.includes("yes")) return "known";
  if (answers.every((answer) => answer === "not asked")) return "unasked";
  return answers.includes("not asked") ? "open" : "none";
}
