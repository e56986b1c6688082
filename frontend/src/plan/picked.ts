/** The way to move a handle without dragging: choose it, then choose its place. */

import { createContext, useContext } from "react";
import type { Point } from "./paper";

export type Picked = { name: string; setDown: (place: Point) => void };

type Holder = {
  picked: Picked | null;
  pick: (picked: Picked | null) => void;
  /** The place on the skin under a pointer. */
  placeOf: (pointing: { clientX: number; clientY: number }) => Point | null;
};

export const PickedContext = createContext<Holder>({
  picked: null,
  pick: () => undefined,
  placeOf: () => null,
});

export function usePicked(): Holder {
  return useContext(PickedContext);
}
