import { useOfCase } from "../../../api/queries";
import type { MapNow, Revision, SliceOutline } from "../../../api/records";

/** The map that the scan showed last; nothing while it was never mapped. */
export function useScanMap({ case_id, dossier }: Revision) {
  return useOfCase<MapNow>(case_id, "scan/map", dossier.map !== null && dossier.scan !== null);
}

export function useOutlines({ case_id, dossier }: Revision) {
  const asks = dossier.map !== null && dossier.scan !== null;
  return useOfCase<SliceOutline[]>(case_id, "scan/outlines", asks);
}
