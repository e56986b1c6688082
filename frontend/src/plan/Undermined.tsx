import { usePattern } from "./Patterns";
import { type Line, through } from "./paper";

/** Freed at the fascia, skin not cut: small v marks without an outline. */
export function Undermined({ zone }: { zone: Line }) {
  return <path d={through(zone, "closed")} fill={usePattern("undermined")} />;
}
