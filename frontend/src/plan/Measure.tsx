import { type Point, usePaper } from "./paper";

type MeasureProps = {
  from: Point;
  to: Point;
  /** The length with its unit. */
  children: string;
};

/** A distance: thin line, oblique ticks, the length on top. */
export function Measure({ from, to, children }: MeasureProps) {
  const { px_mm } = usePaper();
  const tick = 4 * px_mm;
  const ends = [from, to].map(([x, y]) => `M${x - tick} ${-y + tick}l${2 * tick} ${-2 * tick}`);
  const [x, y] = [(from[0] + to[0]) / 2, -(from[1] + to[1]) / 2];
  return (
    <g>
      <path className="measure" d={`M${from[0]} ${-from[1]}L${to[0]} ${-to[1]}${ends.join("")}`} />
      <text className="first halo" x={x} y={y - 7 * px_mm} textAnchor="middle">
        {children}
      </text>
    </g>
  );
}
