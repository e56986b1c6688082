import type { SkinMoment } from "../../../api/records";
import { Flap } from "../../../plan/Flap";
import { centreOf, middleOf } from "../../../plan/lines";
import { type Line, type Point, throughAll, usePaper } from "../../../plan/paper";
import { Seam } from "../../../plan/Seam";
import { stretches } from "./stretches";

type MomentProps = {
  moment: SkinMoment;
  /** Leave flaps and carried lines out, where the tension is shown. */
  plain: boolean;
};

/** How far a word stands from its seam, pixels. */
const WORD_OFF_PX = 20;
const LETTER_HALF_PX = 5;

/** Flaps, the lines that the skin carries, and raw edges. */
export function Moment({ moment, plain }: MomentProps) {
  const { grid_mm, weave_mm, midline_mm, edges_mm } = moment;
  return (
    <g>
      {plain ? null : (
        <>
          {moment.flaps_mm.map((flap) => (
            <Flap key={String(flap)} outline={flap} />
          ))}
          <path className="film-carried" d={throughAll(grid_mm)} />
          <path className="weave" d={throughAll(weave_mm)} />
        </>
      )}
      <path className="film-midline" d={throughAll(midline_mm)} />
      <path className="cut" d={throughAll(edges_mm)} />
    </g>
  );
}

/** The scar with its pull as ticks, and the word for each pull beside its longest stretch. */
export function ScarLine({ moment }: { moment: SkinMoment }) {
  const runs = stretches(moment.scar);
  const { px_mm } = usePaper();
  const centre = centreOf(runs.map(({ line }) => middleOf(line)));
  const longest = longestOfEach(runs);
  return (
    <>
      {runs.map((run) => (
        <Seam
          key={String(run.line)}
          line={run.line}
          pull={run.pull}
          {...(longest.includes(run) ? { wordAt: beside(run.line, centre, px_mm) } : {})}
        />
      ))}
    </>
  );
}

/** The word stands once for each pull of a seam, at its longest stretch. */
function longestOfEach<T extends { seam: string; pull: string; line: Line }>(runs: T[]): T[] {
  const best = new Map<string, T>();
  for (const run of runs) {
    const known = best.get(run.pull);
    if (!known || run.line.length > known.line.length) best.set(run.pull, run);
  }
  return [...best.values()];
}

/** Outwards from the middle of the scar, in pixels: to the right, and up. */
function beside(line: Line, centre: Point, px_mm: number): Point {
  const [x, y] = middleOf(line);
  const [dx, dy] = [(x - centre[0]) / px_mm, (y - centre[1]) / px_mm];
  const far = Math.hypot(dx, dy) || 1;
  return [(WORD_OFF_PX * dx) / far, (WORD_OFF_PX * dy) / far - LETTER_HALF_PX];
}
