import { useQuery } from "@tanstack/react-query";
import { read, readBytes } from "../api/client";
import type { Revision, ScanPicture } from "../api/records";

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
