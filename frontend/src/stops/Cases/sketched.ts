/** A few measures, as typed, and the case that the server plans from them without storing it. */

import { asTyped, type Side } from "../../api/records";

export const MEASURES = [
  "pit_above_mm",
  "probe_length_mm",
  "probe_depth_mm",
  "probe_angle_deg",
  "cleft_depth_mm",
  "margin_mm",
] as const;

export type Measures = Record<(typeof MEASURES)[number], string> & { side: Side };

/** Where the server's sentence on a measure points. */
export const PLACES: Record<(typeof MEASURES)[number], readonly (string | number)[]> = {
  pit_above_mm: ["pits", 0, "above_coccyx_tip_mm"],
  probe_length_mm: ["probings", 0, "length_mm"],
  probe_depth_mm: ["probings", 0, "tip_depth_mm"],
  probe_angle_deg: ["probings", 0, "from_cranial_deg"],
  cleft_depth_mm: ["body", "cleft_depth_mm"],
  margin_mm: ["limits", "drawn_margin_mm"],
};

/** The first measure that is still missing. */
export function firstMissing(measures: Measures): (typeof MEASURES)[number] | null {
  return MEASURES.find((name) => measures[name].trim() === "") ?? null;
}

export function sketchFrom(measures: Measures, today: string) {
  const typed = (name: (typeof MEASURES)[number]) => asTyped(measures[name].trim());
  return {
    schema: "crena.case/1",
    patient: { label: "Sketch" },
    findings: { seen_on: today },
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
