import type { PullClass } from "../api/records";
import { useSay } from "../i18n/say";
import { Caption } from "./Caption";
import { stations } from "./lines";
import { type Line, type Point, through } from "./paper";

/** Millimetres between the cross ticks, by pull. */
const TICKS_MM: Record<PullClass, number> = { low: 9, middle: 5.5, high: 3 };

/** Before the pull is known. */
const PLAIN_TICKS_MM = 6;
const HALF_TICK_MM = 2.2;

type SeamProps = {
  line: Line;
  /** How hard it is pulled at; nothing: not computed. */
  pull?: PullClass;
  /** Where the word for the pull stands, pixels from the middle of the line; nothing: no word. */
  wordAt?: Point;
};

/** Two edges sewn to each other; closer ticks mean more pull, and the word stands beside it. */
export function Seam({ line, pull, wordAt }: SeamProps) {
  const t = useSay("plan");
  const every = pull ? TICKS_MM[pull] : PLAIN_TICKS_MM;
  return (
    <g>
      <path className="seam" d={through(line)} />
      <path className="stitch" d={stations(line, every).map(tick).join("")} />
      {pull && wordAt ? <Caption to={line} by={wordAt} lines={[t(`pull.${pull}`)]} /> : null}
    </g>
  );
}

/** The scar as a line without ticks, where only its course matters. */
export function Scar({ line }: { line: Line }) {
  return <path className="seam" d={through(line)} />;
}

function tick({ place, along }: { place: Point; along: Point }): string {
  const [dx, dy] = [-along[1] * HALF_TICK_MM, along[0] * HALF_TICK_MM];
  return through([
    [place[0] - dx, place[1] - dy],
    [place[0] + dx, place[1] + dy],
  ]);
}
