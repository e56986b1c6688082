import { type MouseEvent, type ReactNode, useId, useMemo, useRef, useState } from "react";
import { Grid } from "./Grid";
import { Patterns } from "./Patterns";
import { type Paper, PaperContext, type Point } from "./paper";
import { type Picked, PickedContext } from "./picked";
import { Rulers } from "./Rulers";
import { Sides, secondLine_px } from "./Sides";
import { useWidth } from "./useWidth";
import "./plan.css";

type SkinPlanProps = {
  /** What the drawing shows, for those who cannot see it. */
  title: string;
  /** Lower left and upper right corner of the skin that is shown, mm; whole tens look best. */
  low: Point;
  high: Point;
  /** Greatest height on the screen, as a share of the window's; 0.74 if left out. */
  tallest?: number;
  /** A small picture: no rulers, no words. */
  small?: boolean;
  children: ReactNode;
};

/** Room for rulers and marks, in pixels. */
const MARGIN = { left: 46, right: 14, above: 28, below: 50 };
const SMALL_MARGIN = { left: 2, right: 2, above: 2, below: 2 };

const TALLEST = 0.74;
const LEAST_PX_PER_MM = 0.4;

/**
 * The skin laid flat, true to scale, patient prone: head above, patient's right on the right.
 *
 * What lies inside is given in mm of the skin frame and drawn in the order given.
 */
export function SkinPlan({ title, low, high, tallest = TALLEST, small, children }: SkinPlanProps) {
  const [wrapper, width] = useWidth<HTMLDivElement>();
  const margin = small ? SMALL_MARGIN : MARGIN;
  const scale = scaleOf(low, high, width, tallest * window.innerHeight, margin);
  const id = useId();
  const paper = useMemo(() => ({ low, high, px_mm: 1 / scale, id }), [low, high, scale, id]);
  const below = margin.below + (small ? 0 : secondLine_px(paper));
  const box = boxOf(paper, { ...margin, below });
  return (
    <div ref={wrapper} className="plan-room">
      <Sheet paper={paper} box={box} title={title}>
        <Patterns />
        {small ? null : <Grid />}
        {small ? null : <Rulers />}
        {children}
        {small ? null : <Sides />}
      </Sheet>
    </div>
  );
}

type Box = { x: number; y: number; width: number; height: number };

type SheetProps = { paper: Paper; box: Box; title: string; children: ReactNode };

/** The SVG itself; a click on it sets down the handle that was picked. */
function Sheet({ paper, box, title, children }: SheetProps) {
  const svg = useRef<SVGSVGElement>(null);
  const [picked, pick] = useState<Picked | null>(null);
  const holder = useMemo(
    () => ({ picked, pick, placeOf: (e: Pointing) => placeOf(svg.current, e) }),
    [picked],
  );
  const setDown = (event: MouseEvent) => {
    const place = picked ? placeOf(svg.current, event) : null;
    if (!picked || !place) return;
    picked.setDown(place);
    pick(null);
  };
  return (
    <PaperContext value={paper}>
      <PickedContext value={holder}>
        {/* biome-ignore lint/a11y/useKeyWithClickEvents: the arrow keys of a handle do the same */}
        {/* biome-ignore lint/a11y/useSemanticElements: a drawing is a group of things */}
        <svg
          ref={svg}
          className={picked ? "plan plan-picked" : "plan"}
          role="group"
          aria-label={title}
          width={box.width / paper.px_mm}
          height={box.height / paper.px_mm}
          viewBox={`${box.x} ${box.y} ${box.width} ${box.height}`}
          style={{ "--px": paper.px_mm } as React.CSSProperties}
          onClick={setDown}
        >
          {children}
        </svg>
      </PickedContext>
    </PaperContext>
  );
}

type Pointing = { clientX: number; clientY: number };

/** The place on the skin under the pointer, mm. */
function placeOf(svg: SVGSVGElement | null, pointing: Pointing): Point | null {
  const matrix = svg?.getScreenCTM();
  if (!matrix) return null;
  const point = new DOMPoint(pointing.clientX, pointing.clientY).matrixTransform(matrix.inverse());
  return [point.x, -point.y];
}

type Margin = typeof MARGIN;

/** Pixels for a millimetre, so that the drawing fills the width and is not too tall. */
function scaleOf(low: Point, high: Point, width: number, tallest: number, margin: Margin): number {
  const across = (width - margin.left - margin.right) / (high[0] - low[0]);
  const along = (tallest - margin.above - margin.below) / (high[1] - low[1]);
  return Math.max(LEAST_PX_PER_MM, Math.min(across, along));
}

function boxOf({ low, high, px_mm }: Paper, margin: Margin): Box {
  return {
    x: low[0] - margin.left * px_mm,
    y: -high[1] - margin.above * px_mm,
    width: high[0] - low[0] + (margin.left + margin.right) * px_mm,
    height: high[1] - low[1] + (margin.above + margin.below) * px_mm,
  };
}
