import { number } from "../i18n/figures";
import { usePaper } from "./paper";

const NUMBER_EVERY_MM = 20;

/** Rulers along the lower and left edge: ticks each 1, 5 and 10 mm, numbers each 20. */
export function Rulers() {
  const { low, high, px_mm } = usePaper();
  const [left, floor] = [low[0], -low[1]];
  const across = whole(low[0], high[0]);
  const along = whole(low[1], high[1]);
  const ticks = [
    ...across.map((x) => `M${x} ${floor}v${tick(x) * px_mm}`),
    ...along.map((y) => `M${left} ${-y}h${-tick(y) * px_mm}`),
  ];
  return (
    <g>
      <path className="tick" d={ticks.join("")} />
      {across.filter(isNumbered).map((x) => (
        <text key={x} className="ruler" x={x} y={floor + 23 * px_mm} textAnchor="middle">
          {number(Math.abs(x))}
        </text>
      ))}
      {along.filter(isNumbered).map((y) => (
        <text key={y} className="ruler" x={left - 14 * px_mm} y={-y + 4.5 * px_mm} textAnchor="end">
          {number(y)}
        </text>
      ))}
    </g>
  );
}

/** Length of the tick at a whole millimetre, pixels. */
function tick(mm: number): number {
  if (mm % 10 === 0) return 10;
  return mm % 5 === 0 ? 7 : 4;
}

function isNumbered(mm: number): boolean {
  return mm % NUMBER_EVERY_MM === 0;
}

function whole(from: number, to: number): number[] {
  const first = Math.ceil(from);
  return Array.from({ length: Math.floor(to) - first + 1 }, (_, i) => first + i);
}
