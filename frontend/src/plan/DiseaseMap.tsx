import { useMemo } from "react";
import type { TractMap } from "../api/records";
import { ClearanceRing, Pit, Spot, Tract } from "./Disease";
import { diseaseRings, flatOf, spotRing } from "./shadows";

type DiseaseMapProps = {
  map: TractMap;
  /** Draw the distance asked for round every tract. */
  margin_mm?: number;
};

/** Everything that is known of the disease, on the skin laid flat. */
export function DiseaseMap({ map, margin_mm }: DiseaseMapProps) {
  const rings = useMemo(() => ringsOf(map, margin_mm), [map, margin_mm]);
  return (
    <g>
      {rings.margins.length > 0 ? <ClearanceRing rings={rings.margins} /> : null}
      <Tract rings={rings.disease} />
      {rings.spots.map(({ name, ring }) => (
        <Spot key={name} ring={ring} />
      ))}
      {map.pits.map((pit) => (
        <Pit key={pit.name} place={pit.at_mm} />
      ))}
    </g>
  );
}

function ringsOf(map: TractMap, margin_mm: number | undefined) {
  const flat = flatOf(map.skin);
  return {
    disease: diseaseRings(map, flat),
    margins: margin_mm === undefined ? [] : diseaseRings(map, flat, margin_mm),
    spots: map.spots.map((spot) => ({ name: spot.name, ring: spotRing(spot, flat) })),
  };
}
