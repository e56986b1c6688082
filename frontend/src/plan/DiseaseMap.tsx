import { useDiseaseShape } from "../api/queries";
import type { TractMap } from "../api/records";
import { ClearanceRing, Pit, Spot, Tract } from "./Disease";
import type { Line } from "./paper";

type DiseaseMapProps = {
  caseId: string;
  /** The map as known now, or the one that was planned for. */
  of: "map" | "plans";
  pits: TractMap["pits"];
  /** Draw the distance asked for round every tract. */
  margin_mm?: number | undefined;
};

/** Everything that is known of the disease, on the skin laid flat, as the server draws it. */
export function DiseaseMap({ caseId, of, pits, margin_mm }: DiseaseMapProps) {
  const shape = useDiseaseShape(caseId, of, margin_mm).data;
  return (
    <g>
      {shape ? (
        <>
          <ClearanceRing dots={shape.ring as Line} />
          <Tract rings={shape.parts as Line[]} />
          {(shape.spots as Line[]).map((ring) => (
            <Spot key={String(ring[0])} ring={ring} />
          ))}
        </>
      ) : null}
      {pits.map((pit) => (
        <Pit key={pit.name} place={pit.at_mm} />
      ))}
    </g>
  );
}
