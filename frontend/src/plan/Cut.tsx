import { type Line, through, throughAll } from "./paper";

/** The skin is cut here, round what is taken out. */
export function Cut({ outline }: { outline: Line }) {
  return <path className="cut" d={through(outline, "closed")} />;
}

/** Cut to raise a flap; the pedicle has no line. */
export function FlapCut({ cuts }: { cuts: readonly Line[] }) {
  return <path className="flap-cut" d={throughAll(cuts)} />;
}

/** One wall of the excision that comes closest to the disease. */
export function BindingWall({ wall }: { wall: Line }) {
  return <path className="binding-wall" d={through(wall)} />;
}

/** What stood here earlier, or as planned. */
export function Earlier({ outline }: { outline: Line }) {
  return <path className="earlier" d={through(outline, "closed")} />;
}
