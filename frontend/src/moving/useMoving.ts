import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import { ask, RefusedError } from "../api/client";
import { Newest } from "../api/newest";
import type { Limits, Move, MoveKind, Plan, PlanSet, Preview } from "../api/records";
import { redone, undone } from "../editing/history";
import type { Point } from "../plan/paper";
import { doing, keepMoves, keptMoves, type Moves, moved, placing, withMove } from "./moves";

/** The hand rests once nothing was asked for so long. */
const REST_MS = 250;

const NO_MOVES: Moves = [];

type Question = { moves: Moves; limits: Limits; full: boolean; kept: boolean };

export type Moving = {
  /** What the server made of the newest moves it could follow; the plan itself until then. */
  shown: Plan | Preview;
  /** Nothing until the server has answered once. */
  preview: Preview | null;
  /** The moves that led to what is shown. */
  shownMoves: Moves;
  /** Why the newest move cannot be made, or nothing. */
  refused: string | null;
  moves: Moves;
  isMoved: boolean;
  canUndo: boolean;
  canRedo: boolean;
  drag: (handle: string, to: Point) => void;
  drop: (handle: string, to: Point) => void;
  change: (kind: MoveKind) => void;
  undo: () => void;
  redo: () => void;
  putBack: () => void;
};

/**
 * One plan under the hand: every place it is dragged to is asked about, and only the newest.
 *
 * A move that the server refuses is taken back; its sentence stays until the next move.
 */
export function useMoving(caseId: string, plans: PlanSet, plan: Plan, limits: Limits): Moving {
  const { code } = plans;
  const [history, setHistory] = useState(() => keptMoves(code, plan.id));
  const [seen, see] = useState<{ preview: Preview; moves: Moves } | null>(null);
  const [refused, setRefused] = useState<string | null>(null);
  const limitsNow = useRef(limits);
  limitsNow.current = limits;
  const moves = history.present;
  const asked = JSON.stringify(limits);

  const newest = useMemo(
    () =>
      new Newest<Question, Preview>(
        ({ kept: _, ...question }) =>
          ask(`/api/cases/${caseId}/preview`, { plan: plan.id, code, ...question }),
        {
          onAnswer: (answer, question) => {
            see({ preview: answer, moves: question.moves });
            if (!question.kept) setRefused(null);
          },
          onFault: (fault, question) => {
            setRefused(fault.message);
            if (question.kept && isImpossible(fault)) {
              setHistory((was) => (was.present === question.moves ? undone(was) : was));
            }
          },
        },
      ),
    [caseId, code, plan.id],
  );
  useEffect(() => {
    newest.open();
    return () => newest.close();
  }, [newest]);

  // biome-ignore lint/correctness/useExhaustiveDependencies: other limits ask anew
  useEffect(() => {
    keepMoves(code, plan.id, moves);
    newest.ask({ moves, limits: limitsNow.current, full: false, kept: true });
    const rest = setTimeout(
      () => newest.ask({ moves, limits: limitsNow.current, full: true, kept: true }),
      REST_MS,
    );
    return () => clearTimeout(rest);
  }, [newest, moves, code, plan.id, asked]);

  // biome-ignore lint/correctness/useExhaustiveDependencies: what was said of other limits is over
  useEffect(() => setRefused(null), [asked]);

  const step = useCallback((next: (was: Kept) => Kept) => {
    setRefused(null);
    setHistory(next);
  }, []);
  const preview = seen?.preview ?? null;
  const add = (move: Move) => step((was) => moved(was, move, Date.now()));
  return {
    shown: preview ?? plan,
    preview,
    shownMoves: seen?.moves ?? NO_MOVES,
    refused,
    moves,
    isMoved: moves.length > 0,
    canUndo: history.past.length > 0,
    canRedo: history.future.length > 0,
    drag: (handle, to) =>
      newest.ask({
        moves: withMove(moves, placing(handle, to)),
        limits: limitsNow.current,
        full: false,
        kept: false,
      }),
    drop: (handle, to) => add(placing(handle, to)),
    change: (kind) => add(doing(kind)),
    undo: () => step(undone),
    redo: () => step((was) => redone(was, Date.now())),
    putBack: () => step(withNone),
  };
}

type Kept = ReturnType<typeof keptMoves>;

/** All moves taken back in one step, which can itself be undone. */
function withNone(was: Kept): Kept {
  const put = { name: "put back", merge: null, at_ms: 0, before: was.present };
  return { past: [...was.past, put], present: [], future: [] };
}

/** The server can not follow this move; anything else may pass, and the moves stay. */
function isImpossible(fault: Error): boolean {
  return fault instanceof RefusedError && fault.status === 422 && fault.refusals.length === 0;
}
