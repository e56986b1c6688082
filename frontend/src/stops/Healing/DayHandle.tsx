import { type KeyboardEvent, type PointerEvent, useRef } from "react";
import { useSay } from "../../i18n/say";

const RING_PX = 8;
const CATCH_PX = 22;

const STEPS: Readonly<Record<string, number>> = {
  ArrowLeft: -1,
  ArrowDown: -1,
  ArrowRight: 1,
  ArrowUp: 1,
  PageDown: -7,
  PageUp: 7,
};

type DayHandleProps = {
  name: string;
  day: number;
  /** The days it can be moved to, in order. */
  days: readonly number[];
  x: { (day: number): number; invert: (px: number) => number };
  top: number;
  base: number;
  onMove: (day: number | null) => void;
  onDone: (day: number) => void;
};

/** A day that can be moved along its axis: dragged, or by arrow keys. */
export function DayHandle({ name, day, days, x, top, base, onMove, onDone }: DayHandleProps) {
  const t = useSay("healing");
  const grip = useRef<{ off: number; to: number } | null>(null);
  const [first = day, last = day] = [days[0], days.at(-1)];
  const within = (to: number) => Math.min(last, Math.max(first, Math.round(to)));

  function take(event: PointerEvent<SVGGElement>): void {
    event.currentTarget.setPointerCapture(event.pointerId);
    grip.current = { off: x(day) - placeOf(event), to: day };
  }

  function drag(event: PointerEvent<SVGGElement>): void {
    if (!grip.current) return;
    grip.current.to = within(x.invert(placeOf(event) + grip.current.off));
    onMove(grip.current.to);
  }

  function letGo(): void {
    const to = grip.current?.to;
    grip.current = null;
    if (to !== undefined) onDone(to);
  }

  function key(event: KeyboardEvent): void {
    const step = STEPS[event.key];
    if (step === undefined) return;
    event.preventDefault();
    onDone(within(day + step));
  }

  return (
    <g
      className="handle"
      role="slider"
      tabIndex={0}
      aria-label={name}
      aria-valuemin={first}
      aria-valuemax={last}
      aria-valuenow={day}
      aria-valuetext={t("support.day_n", { day })}
      onPointerDown={take}
      onPointerMove={drag}
      onPointerUp={letGo}
      onPointerCancel={() => {
        grip.current = null;
        onMove(null);
      }}
      onKeyDown={key}
    >
      <path className="day-line" d={`M${x(day)} ${top + RING_PX}V${base}`} />
      <rect
        className="handle-catch"
        x={x(day) - CATCH_PX}
        y={top - CATCH_PX}
        width={2 * CATCH_PX}
        height={base - top + CATCH_PX}
      />
      <circle className="handle-ring" cx={x(day)} cy={top} r={RING_PX} />
      <text className="halo strong" x={x(day) + RING_PX + 6} y={top + 5}>
        {t("support.day_n", { day })}
      </text>
    </g>
  );
}

/** Where the pointer is inside of its drawing, in px from its left edge. */
function placeOf(event: PointerEvent<SVGGElement>): number {
  const left = event.currentTarget.ownerSVGElement?.getBoundingClientRect().left ?? 0;
  return event.clientX - left;
}
