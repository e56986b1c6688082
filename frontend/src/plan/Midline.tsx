import { usePaper } from "./paper";

/** The reference that never moves; drawn over the flap. */
export function Midline() {
  const { low, high } = usePaper();
  return <path className="midline" d={`M0 ${-low[1]}V${-high[1]}`} />;
}
