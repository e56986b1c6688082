import { scaleLinear } from "d3-scale";
import { area, line } from "d3-shape";
import { useId } from "react";
import type { HealingPlan } from "../../api/records";
import { number } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { useWidth } from "../../plan/useWidth";
import { textOf } from "../../shell/NumberField";
import { dayAfter, tickDay } from "./days";
import { FanKey } from "./FanKey";
import { Hatches } from "./Hatches";
import type { Forecast } from "./records";

const HEIGHT = 268;
const LEFT = 34;
const RIGHT = 10;
const TOP = 26;
const BASE = 212;
const TICK_PX = 34;
const BAR_PX = 22;

/** Room above the highest bar for its figure. */
const HEADROOM = 1.12;

/** Days drawn at least, so that a lone reading is not a wall. */
const LEAST_DAYS = 7;

type Band = Forecast["volumes"][number];
type Spot = { day: number; ends: Band };

type FanProps = { healing: HealingPlan; began: string; words: string };

/** What was read as ink bars, what may come as a fan, and the rule as a dashed line. */
export function Fan({ healing, began, words }: FanProps) {
  const t = useSay("healing");
  const id = useId();
  const [wrapper, width] = useWidth<HTMLDivElement>();
  const { drain_days: read, drain_rule: rule } = healing;
  const volumes = healing.drain?.volumes ?? [];
  const last = Math.max(LEAST_DAYS, ...read.map((r) => r.day), ...volumes.map((v) => v.day));
  const most = Math.max(
    1.4 * rule.below_ml,
    ...read.map((each) => each.ml_per_day ?? 0),
    ...volumes.map((each) => each.high_of_8_in_10_ml_per_day),
  );
  const x = scaleLinear([0.5, last + 0.5], [LEFT, width - RIGHT]);
  const y = scaleLinear([0, HEADROOM * most], [BASE, TOP]);
  const dayPx = x(2) - x(1);
  const bar = Math.min(BAR_PX, 0.6 * dayPx);
  const spots = spotsOf(healing);
  const between = (low: keyof Band, high: keyof Band) =>
    area<Spot>()
      .x((spot) => x(spot.day))
      .y0((spot) => y(spot.ends[low]))
      .y1((spot) => y(spot.ends[high]))(spots) ?? "";
  const middle = line<Spot>()
    .x((spot) => x(spot.day))
    .y((spot) => y(spot.ends.middle_ml_per_day));
  const step = Math.ceil(TICK_PX / dayPx);
  const days = Array.from({ length: last }, (_, i) => i + 1).filter((d) => (last - d) % step === 0);
  return (
    <div ref={wrapper} className="healing-drawing">
      <svg className="curve" width={width} height={HEIGHT} role="img" aria-label={words}>
        <Hatches id={id} />
        <Axis x={x} y={y} end={width - RIGHT} />
        <path
          className="fan"
          d={between("low_of_8_in_10_ml_per_day", "high_of_8_in_10_ml_per_day")}
        />
        <path
          fill={`url(#${id}-wide)`}
          d={between("low_of_8_in_10_ml_per_day", "high_of_8_in_10_ml_per_day")}
        />
        <path
          fill={`url(#${id}-dense)`}
          d={between("low_of_half_ml_per_day", "high_of_half_ml_per_day")}
        />
        <path className="fan-middle" d={middle(spots) ?? ""} />
        <path className="wanted" d={`M${LEFT} ${y(rule.below_ml)}H${width - RIGHT}`} />
        <text
          className="ruler strong halo"
          x={width - RIGHT}
          y={y(rule.below_ml) - 6}
          textAnchor="end"
        >
          {t("fan.rule", { ml: textOf(rule.below_ml) })}
        </text>
        {read.map((each) => (
          <Bar key={`${each.day} ${each.ml_per_day}`} read={each} x={x(each.day)} y={y} px={bar} />
        ))}
        {days.map((day) => (
          <Tick key={day} x={x(day)} iso={dayAfter(began, day)} />
        ))}
        <RangeOfDays forecast={healing.drain} x={x} last={last} />
      </svg>
      <FanKey id={id} hasForecast={volumes.length > 0} />
    </div>
  );
}

/** The days of the fan; it opens at the last volume that was read, if that was the day before. */
function spotsOf(healing: HealingPlan): Spot[] {
  const volumes = healing.drain?.volumes ?? [];
  const spots = volumes.map((ends) => ({ day: ends.day, ends }));
  const last = healing.drain_days.at(-1);
  const first = volumes[0];
  if (!first || !last || last.ml_per_day === null || !last.counts) return spots;
  if (last.day >= first.day) return spots;
  const ml = last.ml_per_day;
  const ends = {
    day: last.day,
    low_of_8_in_10_ml_per_day: ml,
    low_of_half_ml_per_day: ml,
    middle_ml_per_day: ml,
    high_of_half_ml_per_day: ml,
    high_of_8_in_10_ml_per_day: ml,
  };
  return [{ day: last.day, ends }, ...spots];
}

type Scale = (value: number) => number;
type Linear = ReturnType<typeof scaleLinear<number, number>>;

function Axis({ x, y, end }: { x: Scale; y: Linear; end: number }) {
  const t = useSay("healing");
  return (
    <>
      <path className="axis" d={`M${x(0.5)} ${BASE}H${end}`} />
      <text className="ruler" x={0} y={13}>
        {t("fan.unit")}
      </text>
      {y.ticks(4).map((ml) => (
        <g key={ml}>
          <path className="tick" d={`M${LEFT - 5} ${y(ml)}h5`} />
          <text className="ruler" x={LEFT - 8} y={y(ml) + 4.5} textAnchor="end">
            {number(ml)}
          </text>
        </g>
      ))}
    </>
  );
}

type BarProps = { read: HealingPlan["drain_days"][number]; x: number; y: Scale; px: number };

function Bar({ read, x, y, px }: BarProps) {
  const t = useSay("healing");
  const { ml_per_day: ml, counts } = read;
  if (ml === null) {
    return (
      <text className="ruler strong" textAnchor="middle" x={x} y={BASE - 6}>
        {t("fan.unmeasured")}
      </text>
    );
  }
  return (
    <>
      <rect
        className={counts ? "read-bar" : "read-bar not-counted"}
        x={x - px / 2}
        y={y(ml)}
        width={px}
        height={Math.max(1.5, BASE - y(ml))}
      />
      <text className="bar-figure" x={x} y={y(ml) - 6} textAnchor="middle">
        {number(ml)}
      </text>
    </>
  );
}

function Tick({ x, iso }: { x: number; iso: string }) {
  const [weekday, date] = tickDay(iso);
  return (
    <>
      <path className="tick" d={`M${x} ${BASE}v5`} />
      <text className="ruler" x={x} y={BASE + 19} textAnchor="middle">
        {weekday}
      </text>
      <text className="ruler strong" x={x} y={BASE + 35} textAnchor="middle">
        {date}
      </text>
    </>
  );
}

/** The days that hold 8 in 10, as a pen bar under the axis. */
function RangeOfDays({ forecast, x, last }: { forecast: Forecast | null; x: Scale; last: number }) {
  if (!forecast || forecast.met_on_day !== null || forecast.from_day === null) return null;
  const from = x(forecast.from_day - 0.4);
  const to = x(Math.min(forecast.to_day ?? last, last) + 0.4);
  return <rect className="band-bar" x={from} y={BASE + 43} width={to - from} height={9} />;
}
