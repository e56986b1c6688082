/** A few measures, as typed, and the case that the server plans from them without storing it. */

import { asTyped, type Side } from "../../api/records";
import { type Answers, SIGNS } from "./entries";

export const MEASURES = [
  "pit_above_mm",
  "probe_length_mm",
  "probe_depth_mm",
  "probe_angle_deg",
  "cleft_depth_mm",
  "margin_mm",
] as const;

export type Measures = Record<(typeof MEASURES)[number], string> & {
  /** As the probe turned; nothing until it is said. */
  side: Side | null;
  signs: Answers<(typeof SIGNS)[number]>;
};

export type Gap = (typeof MEASURES)[number] | "signs";

/** Where the server's sentence on a measure points. */
export const PLACES: Record<(typeof MEASURES)[number], readonly (string | number)[]> = {
  pit_above_mm: ["pits", 0, "above_coccyx_tip_mm"],
  probe_length_mm: ["probings", 0, "length_mm"],
  probe_depth_mm: ["probings", 0, "tip_depth_mm"],
  probe_angle_deg: ["probings", 0, "from_cranial_deg"],
  cleft_depth_mm: ["body", "cleft_depth_mm"],
  margin_mm: ["limits", "drawn_margin_mm"],
};

/** The first measure or question that is still missing. */
export function firstMissing(measures: Measures): Gap | null {
  const open = MEASURES.find((name) => measures[name].trim() === "");
  if (open !== undefined) return open;
  return SIGNS.some((sign) => measures.signs[sign] === "not asked") ? "signs" : null;
}

/** The case that the measures describe; only one with a label of its own is meant to be kept. */
export function sketchFrom(measures: Measures, today: string, label = "Sketch") {
  const typed = (name: (typeof MEASURES)[number]) => asTyped(measures[name].trim());
  return {
    schema: "crena.case/1",
    patient: { label },
    findings: { seen_on: today, acute_signs: measures.signs },
    pits: [{ name: "1", above_coccyx_tip_mm: typed("pit_above_mm") }],
    probings: [
      {
        tract: "T1",
        pit: "1",
        length_mm: typed("probe_length_mm"),
        tip_depth_mm: typed("probe_depth_mm"),
        from_cranial_deg: typed("probe_angle_deg"),
        side: measures.side,
      },
    ],
    body: { cleft_depth_mm: typed("cleft_depth_mm") },
    limits: { drawn_margin_mm: typed("margin_mm") },
  };
}
