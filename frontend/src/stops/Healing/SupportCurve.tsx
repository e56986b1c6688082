import { scaleLinear, scaleLog } from "d3-scale";
import { area, line } from "d3-shape";
import { useId } from "react";
import { number } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { useWidth } from "../../plan/useWidth";
import { textOf } from "../../shell/NumberField";
import { DayHandle } from "./DayHandle";
import { Key } from "./FanKey";
import { Hatches } from "./Hatches";
import type { Support } from "./records";

const HEIGHT = 312;
const LEFT = 44;
const RIGHT = 12;
const TOP = 66;
const BASE = 270;
const LAST_DAY = 42;
const WEEK = 7;
const MULTIPLES = [1, 2, 5, 10, 20, 50, 100, 200, 500];
const LEAST_PX = 18;

type Curve = Support["with_skin"];
type Moment = { day: number; middle: number; worst: number };

type SupportCurveProps = {
  support: Support;
  day: number;
  onMove: (day: number | null) => void;
  onDone: (day: number) => void;
};

/** What holds against what pulls, on a scale of times the pull; the day is a handle. */
export function SupportCurve({ support, day, onMove, onDone }: SupportCurveProps) {
  const t = useSay("healing");
  const id = useId();
  const [wrapper, width] = useWidth<HTMLDivElement>();
  const end = width - RIGHT;
  const moments = [
    ...momentsOf(support.kept_in, (at) => at <= day),
    ...momentsOf(support.without_skin, (at) => at >= day),
  ];
  const { load_n_per_mm: load, high_load_n_per_mm: high, customary, multiple_ratio } = support;
  const most = Math.max(...support.kept_in.support_n_per_mm);
  const least = Math.min(0.5 * load, ...moments.map((each) => each.worst || load));
  const x = scaleLinear([0, LAST_DAY], [LEFT, end]);
  const y = scaleLog([least, 1.2 * most], [BASE, TOP]).clamp(true);
  const asked = multiple_ratio * load;
  const band = area<Moment>()
    .x((each) => x(each.day))
    .y0((each) => y(each.worst))
    .y1((each) => y(each.middle))(moments);
  const middle = line<Moment>()
    .x((each) => x(each.day))
    .y((each) => y(each.middle))(moments);
  const custom = [x(customary.low_day - 0.5), x(customary.high_day + 0.5)] as const;
  return (
    <div ref={wrapper} className="healing-drawing">
      <svg className="curve" width={width} height={HEIGHT}>
        <title>{t("support.drawing")}</title>
        <Hatches id={id} />
        <rect
          fill={`url(#${id}-custom)`}
          x={custom[0]}
          y={TOP}
          width={custom[1] - custom[0]}
          height={BASE - TOP}
        />
        <Axis x={x} y={y} load={load} end={end} />
        <path className="fan" d={band ?? ""} />
        <path fill={`url(#${id}-wide)`} d={band ?? ""} />
        <path className="fan-middle" d={middle ?? ""} />
        <rect
          className="demand"
          x={LEFT}
          y={y(high)}
          width={end - LEFT}
          height={Math.max(3, y(load) - y(high))}
        />
        <path className="wanted" d={`M${LEFT} ${y(asked)}H${end}`} />
        <DayHandle
          name={t("support.handle")}
          day={day}
          days={support.chances.map((each) => each.on_day)}
          x={x}
          top={TOP - 24}
          base={BASE}
          onMove={onMove}
          onDone={onDone}
        />
      </svg>
      <ul className="curve-key">
        <Key words={t("support.key_band")}>
          <rect className="fan" width="30" height="18" />
          <rect fill={`url(#${id}-wide)`} width="30" height="18" />
          <path className="fan-middle" d="M0 1.5h30" />
        </Key>
        <Key words={t("support.key_demand")}>
          <rect className="demand" y="4" width="30" height="10" />
        </Key>
        <Key words={t("support.key_asked", { times: textOf(multiple_ratio) })}>
          <path className="wanted" d="M0 9h30" />
        </Key>
        <Key
          words={t("support.key_customary", { low: customary.low_day, high: customary.high_day })}
        >
          <rect fill={`url(#${id}-custom)`} width="30" height="18" />
        </Key>
      </ul>
    </div>
  );
}

function momentsOf(curve: Curve, isShown: (day: number) => boolean): Moment[] {
  return curve.at_day
    .map((day, i) => ({
      day,
      middle: curve.support_n_per_mm[i] ?? 0,
      worst: curve.worst_n_per_mm[i] ?? 0,
    }))
    .filter(({ day }) => day <= LAST_DAY && isShown(day));
}

type Scale = (value: number) => number;

function Axis({ x, y, load, end }: { x: Scale; y: Scale; load: number; end: number }) {
  const t = useSay("healing");
  const weeks = Array.from({ length: LAST_DAY / WEEK + 1 }, (_, i) => i * WEEK);
  return (
    <>
      <path className="axis" d={`M${LEFT} ${BASE}H${end}`} />
      <text className="ruler" x={0} y={13}>
        {t("support.unit")}
      </text>
      {shownMultiples(y, load).map((times) => (
        <g key={times}>
          <path className="tick" d={`M${LEFT - 5} ${y(times * load)}h5`} />
          <text className="ruler" x={LEFT - 8} y={y(times * load) + 4.5} textAnchor="end">
            {number(times)}
          </text>
        </g>
      ))}
      {weeks.map((day) => (
        <g key={day}>
          <path className="tick" d={`M${x(day)} ${BASE}v5`} />
          <text className="ruler" x={x(day)} y={BASE + 19} textAnchor="middle">
            {day}
          </text>
        </g>
      ))}
      <text className="ruler" x={end} y={BASE + 37} textAnchor="end">
        {t("support.days")}
      </text>
    </>
  );
}

/** The multiples that lie on the drawing and far enough apart to be read. */
function shownMultiples(y: Scale, load: number): number[] {
  const shown: number[] = [];
  for (const times of MULTIPLES) {
    const at = y(times * load);
    const before = shown.at(-1);
    if (at <= TOP || (before !== undefined && y(before * load) - at < LEAST_PX)) continue;
    shown.push(times);
  }
  return shown;
}
