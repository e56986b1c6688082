import { useQuery } from "@tanstack/react-query";
import { useEffect, useMemo, useReducer } from "react";
import { read, readBytes, write } from "../../../api/client";
import { useOfCase } from "../../../api/queries";
import type { MapNow, Revision, ScanPicture, SliceOutline } from "../../../api/records";
import type { Place } from "./marks";
import type { Voxel } from "./slices";

/** A scan as it is shown: what is known of it, and its numbers. */
export type Scan = { picture: ScanPicture; block: Int16Array };

/** The scan of a revision; its block is fetched once, whatever is changed of the case. */
export function useScan({ case_id, dossier }: Revision) {
  const name = dossier.scan?.picture_sha256 ?? "";
  return useQuery({
    enabled: dossier.scan !== null,
    queryKey: ["scan", case_id, name],
    queryFn: async ({ signal }): Promise<Scan> => {
      const picture = await read<ScanPicture>(`/api/cases/${case_id}/scan`, signal);
      const bytes = await readBytes(`/api/cases/${case_id}/scan/voxels`, signal);
      return { picture, block: new Int16Array(bytes) };
    },
    staleTime: Number.POSITIVE_INFINITY,
  });
}

/** The map that the scan showed last; nothing while it was never mapped. */
export function useScanMap({ case_id, dossier }: Revision) {
  return useOfCase<MapNow>(case_id, "scan/map", dossier.map !== null && dossier.scan !== null);
}

export function useOutlines({ case_id, dossier }: Revision) {
  const asks = dossier.map !== null && dossier.scan !== null;
  return useOfCase<SliceOutline[]>(case_id, "scan/outlines", asks);
}

/** Where places of the patient lie in the block, remembered for each scan. */
const KNOWN = new Map<string, Voxel>();

const nameOf = (scan: string, place: Place) => `${scan} ${place.join(" ")}`;

/** The voxels of places; those that are not known yet are asked for and come a moment later. */
export function useVoxels(caseId: string, scan: string, places: readonly Place[]) {
  const [heard, hear] = useReducer((n: number) => n + 1, 0);
  const asked = places.map((place) => nameOf(scan, place)).join("|");
  // biome-ignore lint/correctness/useExhaustiveDependencies: the names stand for the places
  useEffect(() => {
    const unknown = places.filter((place) => !KNOWN.has(nameOf(scan, place)));
    if (unknown.length === 0) return;
    const body = { places_lps_mm: unknown };
    const path = `/api/cases/${caseId}/scan/indices`;
    write<{ voxels: Voxel[] }>({ method: "POST", path, body })
      .then(({ voxels }) => {
        unknown.forEach((place, n) => {
          const voxel = voxels[n];
          if (voxel) KNOWN.set(nameOf(scan, place), voxel);
        });
        hear();
      })
      .catch(() => undefined);
  }, [caseId, scan, asked]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: what was heard is known now
  return useMemo(() => places.map((place) => KNOWN.get(nameOf(scan, place))), [scan, asked, heard]);
}

/** Where a voxel lies in the patient, said by the server. */
export async function placeOf(caseId: string, scan: string, voxel: Voxel): Promise<Place> {
  const path = `/api/cases/${caseId}/scan/places`;
  const body = { voxels: [voxel] };
  const { places_lps_mm } = await write<{ places_lps_mm: Place[] }>({ method: "POST", path, body });
  const place = places_lps_mm[0];
  if (!place) throw new Error("The server gave no place.");
  KNOWN.set(nameOf(scan, place), voxel);
  return place;
}
