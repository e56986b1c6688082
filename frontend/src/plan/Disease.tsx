import { usePattern } from "./Patterns";
import { type Line, type Point, through, throughAll, usePaper } from "./paper";

/**
 * Tracts and cavities at their true width: dye rim, hatch on a soft ground.
 *
 * Where outlines overlap, the ground lies over every rim but the outer one.
 */
export function Tract({ rings }: { rings: readonly Line[] }) {
  const shape = throughAll(rings, "closed");
  return (
    <g className="tract">
      <path className="tract-rim" d={shape} />
      <path className="tract-ground" d={shape} />
      <path d={shape} fill={usePattern("hatch")} />
    </g>
  );
}

/** Seen, joined to nothing: never merged or dropped by itself. */
export function Spot({ ring }: { ring: Line }) {
  const shape = through(ring, "closed");
  return (
    <g>
      <path className="spot" d={shape} />
      <path d={shape} fill={usePattern("hatch")} />
    </g>
  );
}

/** The distance asked for, round the disease: a dot at each place. */
export function ClearanceRing({ dots }: { dots: Line }) {
  return <path className="clearance-ring" d={throughAll(dots.map((dot) => [dot, dot]))} />;
}

/** An opening in the skin: a sign, not its size. */
export function Pit({ place }: { place: Point }) {
  const { px_mm } = usePaper();
  return (
    <g>
      <circle className="pit" cx={place[0]} cy={-place[1]} r={6 * px_mm} />
      <circle className="pit-dot" cx={place[0]} cy={-place[1]} r={2 * px_mm} />
    </g>
  );
}
