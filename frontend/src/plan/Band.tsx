import { number, range } from "../i18n/figures";
import { useWidth } from "./useWidth";
import "./plan.css";

/** A limit or a published value, with its word; its source stands under the band. */
export type BandMark = { value: number; word: string; side?: "left" | "right" };

type BandProps = {
  low: number;
  high: number;
  unit: string;
  from?: number;
  to: number;
  step: number;
  digits?: number;
  /** At most two. */
  marks?: readonly BandMark[];
};

const FIRST_PX = 6;
const WIDEST_PX = 340;
const AXIS_Y = 38;
const BAR_PX = 13;
const LEAST_BAR_PX = 3;

/** Room for the unit behind the last number. */
const UNIT_GAP_PX = 22;
const LETTER_PX = 7.5;

/** The range of a figure as a pen bar on a short ruler. */
export function Band({ low, high, unit, from = 0, to, step, digits = 0, marks = [] }: BandProps) {
  const [wrapper, room] = useWidth<HTMLDivElement>();
  const width = Math.min(room, WIDEST_PX);
  const end = width - UNIT_GAP_PX - LETTER_PX * unit.length;
  const x = (value: number) => FIRST_PX + ((value - from) * (end - FIRST_PX)) / (to - from);
  const ticks = Array.from(
    { length: Math.floor((to - from) / step) + 1 },
    (_, i) => from + i * step,
  );
  return (
    <div ref={wrapper} className="band-room">
      <svg
        className="band"
        width={width}
        height={58}
        role="img"
        aria-label={range(low, high, unit, digits)}
      >
        <path
          className="axis"
          d={`M${FIRST_PX} ${AXIS_Y}H${end}${ticks.map((v) => `M${x(v)} ${AXIS_Y}v6`).join("")}`}
        />
        {ticks.map((value) => (
          <text key={value} className="ruler" x={x(value)} y={57} textAnchor="middle">
            {number(value)}
          </text>
        ))}
        <text className="ruler" x={end + UNIT_GAP_PX} y={57}>
          {unit}
        </text>
        <rect
          className="band-bar"
          x={x(low)}
          y={AXIS_Y - BAR_PX}
          width={Math.max(LEAST_BAR_PX, x(high) - x(low))}
          height={BAR_PX}
        />
        {marks.map((mark) => (
          <Mark key={mark.word} mark={mark} x={x(mark.value)} />
        ))}
      </svg>
    </div>
  );
}

function Mark({ mark, x }: { mark: BandMark; x: number }) {
  const onLeft = mark.side === "left";
  return (
    <>
      <path className="wanted" d={`M${x} 3V46`} />
      <text
        className="ruler strong"
        x={x + (onLeft ? -5 : 5)}
        y={14}
        textAnchor={onLeft ? "end" : "start"}
      >
        {mark.word}
      </text>
    </>
  );
}
