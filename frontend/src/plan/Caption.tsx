import { middleOf } from "./lines";
import { type Line, type Point, usePaper } from "./paper";

type CaptionProps = {
  /** The place it speaks of; of a line, its middle. */
  to: Point | Line;
  /** Where the words begin, pixels from that place: to the right, and up. */
  by: Point;
  /** The first line in ink, further ones in second ink. */
  lines: readonly string[];
  /** A thin line from the place to the words. */
  leader?: boolean;
};

/** Words beside the drawing, never over what they speak of. */
export function Caption({ to, by, lines, leader = false }: CaptionProps) {
  const { px_mm } = usePaper();
  const [across, along] = isPoint(to) ? to : middleOf(to);
  const [x, y] = [across + by[0] * px_mm, -along - by[1] * px_mm];
  const onLeft = by[0] < 0;
  const gap = (onLeft ? 5 : -5) * px_mm;
  return (
    <g>
      {leader ? (
        <path className="leader" d={`M${across} ${-along}L${x + gap} ${y - 5 * px_mm}`} />
      ) : null}
      {lines.map((words, i) => (
        <text
          key={words}
          className={i === 0 ? "first halo" : "second halo"}
          x={x}
          y={y + 19 * i * px_mm}
          textAnchor={onLeft ? "end" : "start"}
        >
          {words}
        </text>
      ))}
    </g>
  );
}

function isPoint(to: Point | Line): to is Point {
  return typeof to[0] === "number";
}
