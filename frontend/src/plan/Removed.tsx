import { usePattern } from "./Patterns";
import { type Line, through } from "./paper";

/** Leaves with the specimen: pen dots. */
export function Removed({ outline }: { outline: Line }) {
  return <path d={through(outline, "closed")} fill={usePattern("removed")} />;
}
