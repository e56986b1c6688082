import { type Line, through, throughAll } from "./paper";

type FlapProps = {
  outline: Line;
  /** Lines drawn on the skin before, carried with it; none while it has not moved. */
  weave?: readonly Line[];
};

/** Skin that fills the wound: warm tone, and a weave once it moves. */
export function Flap({ outline, weave = [] }: FlapProps) {
  return (
    <g>
      <path className="flap" d={through(outline, "closed")} />
      {weave.length > 0 ? <path className="weave" d={throughAll(weave)} /> : null}
    </g>
  );
}
