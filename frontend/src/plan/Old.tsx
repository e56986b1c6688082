import { usePattern } from "./Patterns";
import { usePaper } from "./paper";

/** Grey hatch over a drawing that answers an earlier question; put it last. */
export function Old() {
  const { low, high } = usePaper();
  const fill = usePattern("old");
  return (
    <rect
      x={low[0]}
      y={-high[1]}
      width={high[0] - low[0]}
      height={high[1] - low[1]}
      fill={fill}
      pointerEvents="none"
    />
  );
}
