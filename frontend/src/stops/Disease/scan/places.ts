import { useEffect, useMemo, useReducer } from "react";
import { write } from "../../../api/client";
import type { Voxel } from "../../../scan/slices";
import type { Place } from "./marks";

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
