/** What was done to a plan by hand, in order; kept in the browser until it is kept as a plan. */

import type { Move, MoveKind } from "../api/records";
import { changed, type History, historyOf } from "../editing/history";
import type { Point } from "../plan/paper";

export type Moves = readonly Move[];

export function placing(handle: string, to: Point): Move {
  return { kind: "place", handle, to_mm: [to[0], to[1]] };
}

export function doing(kind: MoveKind): Move {
  return { kind, handle: "", to_mm: null };
}

/** The moves with one more; of one handle moved again and again, the last place is enough. */
export function withMove(moves: Moves, move: Move): Moves {
  const last = moves.at(-1);
  const again = last?.kind === "place" && move.kind === "place" && last.handle === move.handle;
  return [...(again ? moves.slice(0, -1) : moves), move];
}

/** The history after one more move; a handle moved on at once is one step of Undo. */
export function moved(history: History<Moves>, move: Move, at_ms: number): History<Moves> {
  const merge = move.kind === "place" ? move.handle : null;
  return changed(history, withMove(history.present, move), { name: move.kind, at_ms, merge });
}

const PLACE = "crena.moves";

/** The moves of one plan that this window kept. */
export function keptMoves(code: string, plan: string): History<Moves> {
  try {
    const found: unknown = JSON.parse(sessionStorage.getItem(placeOf(code, plan)) ?? "[]");
    return historyOf(Array.isArray(found) ? (found as Moves) : []);
  } catch {
    return historyOf<Moves>([]);
  }
}

export function keepMoves(code: string, plan: string, moves: Moves): void {
  if (moves.length > 0) sessionStorage.setItem(placeOf(code, plan), JSON.stringify(moves));
  else sessionStorage.removeItem(placeOf(code, plan));
}

function placeOf(code: string, plan: string): string {
  return `${PLACE}.${code}.${plan}`;
}
