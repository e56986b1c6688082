import type { Path } from "../editing/paths";
import type { StopName } from "./contract";

const STOPS: Readonly<Record<string, StopName>> = {
  limits: "excision",
  choice: "closure",
  operation: "theatre",
  aftercare: "healing",
};

/** The stop at which an entry of the case is made: all but a few are found on Disease. */
export function stopOf(entry: Path): StopName {
  return STOPS[String(entry[0])] ?? "disease";
}
