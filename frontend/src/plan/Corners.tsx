import { apart, centreOf } from "./lines";
import { type Point, usePaper } from "./paper";

const OFF_PX = 18;

/** Letters at the corners, on the outer side. */
export function Corners({ corners }: { corners: Readonly<Record<string, Point>> }) {
  const { px_mm } = usePaper();
  const centre = centreOf(Object.values(corners));
  return (
    <g className="corners">
      {Object.entries(corners).map(([name, place]) => {
        const far = apart(centre, place) || 1;
        const off = (OFF_PX * px_mm) / far;
        const x = place[0] + off * (place[0] - centre[0]);
        const y = place[1] + off * (place[1] - centre[1]);
        return (
          <text key={name} className="letter halo" x={x} y={-y + 6 * px_mm} textAnchor="middle">
            {name}
          </text>
        );
      })}
    </g>
  );
}
