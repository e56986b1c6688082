import { usePaper } from "./paper";

const STEP_MM = 10;

/** Ten-millimetre squares. */
export function Grid() {
  const { low, high } = usePaper();
  const across = tens(low[0], high[0]).map((x) => `M${x} ${-low[1]}V${-high[1]}`);
  const along = tens(low[1], high[1]).map((y) => `M${low[0]} ${-y}H${high[0]}`);
  return <path className="grid" d={[...across, ...along].join("")} />;
}

function tens(from: number, to: number): number[] {
  const first = Math.ceil(from / STEP_MM);
  const count = Math.floor(to / STEP_MM) - first + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => STEP_MM * (first + i));
}
