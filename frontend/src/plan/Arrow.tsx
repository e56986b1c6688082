import { lengthOf, stationAt } from "./lines";
import { type Line, type Point, through, usePaper } from "./paper";

const HEAD_PX = 9;
const HEAD_ANGLE = 2.7;

/** What the probe found: as long as it went, seen from above; its depth stands in words. */
export function Probe({ from, to }: { from: Point; to: Point }) {
  return <Arrow line={[from, to]} name="probe" />;
}

/** Where the flap carries a corner. */
export function CornerPath({ line }: { line: Line }) {
  return <Arrow line={line} name="corner-path" />;
}

function Arrow({ line, name }: { line: Line; name: string }) {
  const { px_mm } = usePaper();
  return (
    <g>
      <path className={name} d={through(line)} />
      <path className={`${name}-head`} d={through(headOf(line, HEAD_PX * px_mm))} />
    </g>
  );
}

/** Two strokes back from the end of a line. */
function headOf(line: Line, size_mm: number): Line {
  const { place, along } = stationAt(line, lengthOf(line));
  const angle = Math.atan2(along[1], along[0]);
  const stroke = (turn: number): Point => [
    place[0] + size_mm * Math.cos(angle + turn),
    place[1] + size_mm * Math.sin(angle + turn),
  ];
  return [stroke(HEAD_ANGLE), place, stroke(-HEAD_ANGLE)];
}
