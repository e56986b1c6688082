import {
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
  useEffect,
  useId,
  useRef,
} from "react";
import type { SignalWindow, SliceOutline } from "../api/records";
import { useSay } from "../i18n/say";
import { useWidth } from "../plan/useWidth";
import { atPixel, type Frame, frameOfLook, type Looking, withGreys } from "./looking";
import { Cross, Outlines, Scale } from "./signs";
import { painted, pixelOf } from "./slices";
import "./slice.css";
import type { Scan } from "./useScan";

type SlicePictureProps = {
  scan: Scan;
  look: Looking;
  onLook: (look: Looking) => void;
  /** The cross was set down or confirmed by a key. */
  onSet: (look: Looking) => void;
  outlines: readonly SliceOutline[];
  /** What else is drawn, by the millimetres of a pixel of the screen. */
  signs?: (px_mm: number) => ReactNode;
  /** What the keys do. */
  help: string;
};

const TALLEST = 0.8;
const TAP_PX = 4;

/** So many pixels of dragging change the greys by their own width. */
const DRAG_PX = 300;

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

const GREYS: Readonly<Record<string, readonly [number, number]>> = {
  w: [0.1, 0],
  s: [-0.1, 0],
  d: [0, 0.1],
  a: [0, -0.1],
};

/** One slice, its edges in full words; the back on top or the head, patient's right on the right. */
export function SlicePicture(props: SlicePictureProps) {
  const t = useSay("scan");
  const { look } = props;
  const { view } = look;
  const [wrapper, width] = useWidth<HTMLDivElement>();
  const frame = frameOfLook(look);
  const scale = Math.min(width / frame.width, (TALLEST * window.innerHeight) / frame.height);
  return (
    <div ref={wrapper} className="slice-room">
      <div style={{ width: scale * frame.width }}>
        <p className="slice-edge">{t(`way.${view.top}`)}</p>
        <Paper {...props} frame={frame} scale={scale} />
        <p className="slice-edge slice-edge-three">
          <span>{t(`way.${view.left}`)}</span>
          <span>{t(`way.${view.bottom}`)}</span>
          <span>{t(`way.${view.right}`)}</span>
        </p>
      </div>
    </div>
  );
}

type PaperProps = SlicePictureProps & { frame: Frame; scale: number };

/** The picture itself, which takes taps, drags, the wheel and keys. */
function Paper({ scan, look, onLook, onSet, outlines, signs, help, frame, scale }: PaperProps) {
  const t = useSay("scan");
  const helpId = useId();
  const box = useRef<HTMLDivElement>(null);
  const { view } = look;
  const at = pixelOf(view, look.cursor);
  const grip = useRef<{ from: readonly [number, number]; greys: SignalWindow | null } | null>(null);
  useWheel(box, (steps) => {
    const slice = at.slice + steps;
    if (slice < 0 || slice >= view.slices) return false;
    onLook(atPixel(look, { slice }));
    return true;
  });

  const pixelUnder = (event: PointerEvent) => {
    const { left, top } = event.currentTarget.getBoundingClientRect();
    return {
      across: (frame.x + (event.clientX - left) / scale) / view.column_mm,
      down: (frame.y + (event.clientY - top) / scale) / view.row_mm,
    };
  };

  function take(event: PointerEvent): void {
    if (event.button !== 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    grip.current = { from: [event.clientX, event.clientY], greys: null };
  }

  function drag(event: PointerEvent): void {
    if (!grip.current) return;
    const [x, y] = grip.current.from;
    const [right, down] = [event.clientX - x, event.clientY - y];
    if (!grip.current.greys && Math.hypot(right, down) < TAP_PX) return;
    grip.current.greys ??= look.window;
    const greys = withGreys(grip.current.greys, -down / DRAG_PX, Math.min(0.95, right / DRAG_PX));
    onLook({ ...look, window: greys });
  }

  function letGo(event: PointerEvent): void {
    if (grip.current && !grip.current.greys) onSet(atPixel(look, pixelUnder(event)));
    grip.current = null;
  }

  function key(event: KeyboardEvent): void {
    const next = moved(look, event);
    if (event.key === "Enter" || event.key === " ") onSet(look);
    else if (next) onLook(next);
    else return;
    event.preventDefault();
  }

  return (
    <div
      ref={box}
      className="slice-paper"
      role="application"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it takes keys
      tabIndex={0}
      aria-label={t("picture", { number: at.slice + 1, count: view.slices })}
      aria-describedby={helpId}
      style={{ height: scale * frame.height }}
      onPointerDown={take}
      onPointerMove={drag}
      onPointerUp={letGo}
      onPointerCancel={() => {
        grip.current = null;
      }}
      onKeyDown={key}
    >
      <span id={helpId} className="unseen">
        {help}
      </span>
      <Greys scan={scan} look={look} frame={frame} />
      <svg
        className="plan slice-signs"
        aria-hidden="true"
        viewBox={`${frame.x} ${frame.y} ${frame.width} ${frame.height}`}
        style={{ "--px": 1 / scale } as React.CSSProperties}
      >
        <Outlines outlines={outlines} px_mm={1 / scale} />
        {signs?.(1 / scale)}
        <Cross
          x={at.across * view.column_mm}
          y={at.down * view.row_mm}
          frame={frame}
          px_mm={1 / scale}
        />
        <Scale frame={frame} px_mm={1 / scale} />
      </svg>
    </div>
  );
}

type GreysProps = { scan: Scan; look: Looking; frame: Frame };

function Greys({ scan, look, frame }: GreysProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const { view, window } = look;
  const { slice } = pixelOf(view, look.cursor);
  useEffect(() => {
    const drawing = canvas.current?.getContext("2d");
    if (!drawing) return;
    const pixels = painted(scan.block, scan.picture, view, slice, window);
    drawing.putImageData(new ImageData(pixels, view.columns, view.rows), 0, 0);
  }, [scan, view, slice, window]);
  const share = (mm: number, whole: number) => `${(100 * mm) / whole}%`;
  return (
    <canvas
      ref={canvas}
      width={view.columns}
      height={view.rows}
      style={{
        left: share(-view.column_mm / 2 - frame.x, frame.width),
        top: share(-view.row_mm / 2 - frame.y, frame.height),
        width: share(view.columns * view.column_mm, frame.width),
        height: share(view.rows * view.row_mm, frame.height),
      }}
    />
  );
}

/** The look after a key, or nothing for a key that is not ours. */
function moved(look: Looking, event: KeyboardEvent): Looking | null {
  const at = pixelOf(look.view, look.cursor);
  const step = event.shiftKey ? 5 : 1;
  const arrow = ARROWS[event.key];
  if (arrow) {
    return atPixel(look, { across: at.across + step * arrow[0], down: at.down + step * arrow[1] });
  }
  if (event.key === "PageUp") return atPixel(look, { slice: at.slice + step });
  if (event.key === "PageDown") return atPixel(look, { slice: at.slice - step });
  const grey = GREYS[event.key.toLowerCase()];
  if (grey && !event.ctrlKey && !event.metaKey && !event.altKey) {
    return { ...look, window: withGreys(look.window, ...grey) };
  }
  return null;
}

/** The wheel turns slices; at the first and the last one it scrolls the page again. */
function useWheel(box: React.RefObject<HTMLElement | null>, turn: (steps: number) => boolean) {
  const now = useRef(turn);
  now.current = turn;
  useEffect(() => {
    const element = box.current;
    const listen = (event: WheelEvent) => {
      if (event.deltaY === 0 || event.ctrlKey) return;
      if (now.current(event.deltaY < 0 ? 1 : -1)) event.preventDefault();
    };
    element?.addEventListener("wheel", listen, { passive: false });
    return () => element?.removeEventListener("wheel", listen);
  }, [box]);
}
