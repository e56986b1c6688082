import { useSay } from "../i18n/say";
import { type Point, usePaper } from "./paper";

const VERGE_MM = 5;
const RAY_MM = 7;
const RAYS = 12;
const TIP_MM = 2.2;

type LandmarksProps = {
  /** Where the anal verge lies on the skin. */
  analVerge: Point;
  /** On which side the coccyx tip is named; nothing: neither place is named. */
  wordsOn?: "left" | "right" | null;
};

/** Coccyx tip and anal verge: on every plan. */
export function Landmarks({ analVerge, wordsOn = "right" }: LandmarksProps) {
  return (
    <g>
      <AnalVerge at={analVerge} named={wordsOn !== null} />
      <CoccyxTip wordOn={wordsOn} />
    </g>
  );
}

/** A rayed ring. */
function AnalVerge({ at, named }: { at: Point; named: boolean }) {
  const t = useSay("plan");
  const { px_mm } = usePaper();
  const [x, y] = [at[0], -at[1]];
  const rays = Array.from({ length: RAYS }, (_, i) => {
    const [c, s] = [Math.cos((2 * Math.PI * i) / RAYS), Math.sin((2 * Math.PI * i) / RAYS)];
    return `M${x + VERGE_MM * c} ${y + VERGE_MM * s}L${x + RAY_MM * c} ${y + RAY_MM * s}`;
  });
  return (
    <>
      <circle className="verge" cx={x} cy={y} r={VERGE_MM} />
      <path className="verge" d={rays.join("")} />
      {named ? (
        <text className="second halo" x={x + RAY_MM + 6 * px_mm} y={y + 5 * px_mm}>
          {t("anal_verge")}
        </text>
      ) : null}
    </>
  );
}

/** A triangle at the origin of the skin frame. */
function CoccyxTip({ wordOn }: { wordOn: "left" | "right" | null }) {
  const t = useSay("plan");
  const { px_mm } = usePaper();
  const r = TIP_MM;
  const way = wordOn === "left" ? -1 : 1;
  return (
    <>
      <path className="coccyx" d={`M${-r} ${-r}H${r}L0 ${0.6 * r}Z`} />
      {wordOn ? (
        <text
          className="second halo"
          x={way * (r + 6 * px_mm)}
          y={5 * px_mm}
          textAnchor={wordOn === "left" ? "end" : "start"}
        >
          {t("coccyx_tip")}
        </text>
      ) : null}
    </>
  );
}
