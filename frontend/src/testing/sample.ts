/** An invented case for tests; nobody is behind it. */

import type { Case, Dossier, Revision } from "../api/records";

const ENTERED = {
  schema: "crena.case/1",
  patient: { label: "Case 12", identifier: "X-12", birth_date: null, weight_kg: null },
  findings: {
    seen_on: "2026-11-24",
    acute_signs: {
      redness: "no",
      swelling: "no",
      warmth: "no",
      pus_under_pressure: "no",
      fever: "not asked",
    },
    recurrent: "no",
    allergies: {
      dye: "no",
      local_anaesthetic: "no",
      antibiotic: "no",
      antiseptic: "no",
      latex: "no",
      plaster: "no",
      note: "",
    },
    note: "",
  },
  pits: [
    { name: "1", above_coccyx_tip_mm: 17, off_midline_mm: 0, side: null, radius_mm: 1 },
    { name: "2", above_coccyx_tip_mm: 29, off_midline_mm: 4, side: "patient's left", radius_mm: 1 },
  ],
  probings: [],
  limits: { drawn_margin_mm: 8, flap_from: null },
  choice: null,
} as unknown as Case;

const DOSSIER = {
  schema: "crena.dossier/1",
  case: ENTERED,
  scan: null,
  map: null,
  plans: null,
  signed: null,
  sheets: [],
  bars: null,
  theatre: null,
} as Dossier;

export function sampleRevision(changes: Partial<Revision> = {}): Revision {
  return {
    case_id: "c12",
    number: 3,
    dossier: DOSSIER,
    sha256: "a".repeat(64),
    before_sha256: "b".repeat(64),
    saved_at: "2026-11-24T10:31:00Z",
    author: { by: "Surgeon", why: "typing" },
    version: "0.1.0",
    ...changes,
  };
}

/** The same revision, later, with another case. */
export function followedBy(before: Revision, entered: Case, number = before.number + 1): Revision {
  return sampleRevision({ number, dossier: { ...before.dossier, case: entered } });
}
