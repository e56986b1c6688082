import { useSay } from "../i18n/say";
import { usePaper } from "./paper";

/** Where the scan's slice lies. */
export function Slice({ along_mm }: { along_mm: number }) {
  const t = useSay("plan");
  const { low, high, px_mm } = usePaper();
  return (
    <g>
      <path className="slice" d={`M${low[0]} ${-along_mm}H${high[0]}`} />
      <text className="second halo" x={low[0] + 6 * px_mm} y={-along_mm - 5 * px_mm}>
        {t("slice")}
      </text>
    </g>
  );
}
