import { type KeyboardEvent, type PointerEvent, useRef, useState } from "react";
import { number } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { apart } from "./lines";
import { type Point, usePaper } from "./paper";
import { usePicked } from "./picked";

const RING_PX = 7;
const CATCH_PX = 22;
const STEP_MM = 1;
const LONG_STEP_MM = 5;

/** A pointer that moved less than this has tapped. */
const TAP_PX = 4;

const ARROWS: Readonly<Record<string, Point>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

type HandleProps = {
  /** "Corner A". */
  name: string;
  place: Point;
  /** Where it was moved to, again and again while it moves. */
  onMove: (place: Point) => void;
  /** It was let go: the place counts now. */
  onDone?: (place: Point) => void;
};

/**
 * A point that can be moved: dragged, by arrow keys, or by choosing it and then its place.
 *
 * It follows the pointer at once; what the new place means is for the server to say.
 */
export function Handle({ name, place, onMove, onDone = () => undefined }: HandleProps) {
  const { px_mm } = usePaper();
  const { picked, pick, placeOf } = usePicked();
  const said = usePlaceWords(name, place);
  const t = useSay("plan");
  const grip = useRef<{ off: Point; from: Point; moved: boolean } | null>(null);
  const [held, setHeld] = useState<Point | null>(null);
  const shown = held ?? place;
  const isPicked = picked?.name === name;

  const put = (to: Point) => {
    onMove(to);
    onDone(to);
  };
  const toggle = () => pick(isPicked ? null : { name, setDown: put });

  function take(event: PointerEvent<SVGGElement>): void {
    const under = placeOf(event);
    if (!under) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    const off: Point = [place[0] - under[0], place[1] - under[1]];
    grip.current = { off, from: [event.clientX, event.clientY], moved: false };
  }

  function drag(event: PointerEvent): void {
    const under = placeOf(event);
    if (!grip.current || !under) return;
    const { off, from } = grip.current;
    grip.current.moved ||= apart(from, [event.clientX, event.clientY]) >= TAP_PX;
    if (!grip.current.moved) return;
    const to: Point = [under[0] + off[0], under[1] + off[1]];
    setHeld(to);
    onMove(to);
  }

  function letGo(): void {
    if (grip.current?.moved && held) onDone(held);
    else if (grip.current) toggle();
    grip.current = null;
    setHeld(null);
  }

  function key(event: KeyboardEvent): void {
    const way = ARROWS[event.key];
    if (event.key === "Enter" || event.key === " ") toggle();
    else if (event.key === "Escape") pick(null);
    else if (way) {
      const step = event.shiftKey ? LONG_STEP_MM : STEP_MM;
      put([place[0] + step * way[0], place[1] + step * way[1]]);
    } else return;
    event.preventDefault();
  }

  return (
    // biome-ignore lint/a11y/useSemanticElements: a drawing holds no button element
    <g
      className={isPicked ? "handle handle-picked" : "handle"}
      role="button"
      tabIndex={0}
      aria-label={said}
      aria-description={t("handle.help")}
      aria-pressed={isPicked}
      onPointerDown={take}
      onPointerMove={drag}
      onPointerUp={letGo}
      onPointerCancel={() => {
        grip.current = null;
        setHeld(null);
      }}
      onClick={(event) => event.stopPropagation()}
      onKeyDown={key}
    >
      <circle className="handle-catch" cx={shown[0]} cy={-shown[1]} r={CATCH_PX * px_mm} />
      <circle className="handle-ring" cx={shown[0]} cy={-shown[1]} r={RING_PX * px_mm} />
    </g>
  );
}

/** "Corner A: 20 mm to the patient's left, 21 mm below the coccyx tip". */
function usePlaceWords(name: string, [across_mm, along_mm]: Point): string {
  const t = useSay("plan");
  const [x, y] = [Math.round(across_mm), Math.round(along_mm)];
  const side = x === 0 ? "on_midline" : x < 0 ? "at_left" : "at_right";
  const height = y === 0 ? "level" : y < 0 ? "below" : "above";
  return t("handle.place", {
    name,
    across: t(`handle.${side}`, { mm: number(Math.abs(x)) }),
    along: t(`handle.${height}`, { mm: number(Math.abs(y)) }),
  });
}
