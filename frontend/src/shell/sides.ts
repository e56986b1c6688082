import type { Side } from "../api/records";
import { useSay } from "../i18n/say";

export const LEFT: Side = "patient's left";
export const RIGHT: Side = "patient's right";

/** A function that writes a side of the patient out in full, in the reader's language. */
export function useSideWord(): (side: Side) => string {
  const t = useSay();
  return (side) => t(side === LEFT ? "side.left" : "side.right");
}
