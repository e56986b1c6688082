/** Undo and redo over something that is never changed, only replaced. */

/** One change that was made: its name, and what was there before. */
export type Step<T> = { name: string; merge: string | null; at_ms: number; before: T };

export type History<T> = {
  past: readonly Step<T>[];
  present: T;
  future: readonly { name: string; after: T }[];
};

const MOST_STEPS = 200;

/** Typing in one field within this pause is one step. */
const MERGE_MS = 1000;

export type Change = {
  name: string;
  at_ms: number;
  /** Changes with the same word here, shortly after each other, are undone together. */
  merge?: string | null;
};

export function historyOf<T>(present: T): History<T> {
  return { past: [], present, future: [] };
}

/** The history with one more step; nothing happens if nothing changed. */
export function changed<T>(history: History<T>, next: T, change: Change): History<T> {
  if (next === history.present) return history;
  const last = history.past.at(-1);
  if (last && belongs(last, change)) {
    const merged = { ...last, at_ms: change.at_ms };
    return { past: [...history.past.slice(0, -1), merged], present: next, future: [] };
  }
  const step = {
    name: change.name,
    merge: change.merge ?? null,
    at_ms: change.at_ms,
    before: history.present,
  };
  return { past: [...history.past, step].slice(-MOST_STEPS), present: next, future: [] };
}

export function undone<T>(history: History<T>): History<T> {
  const last = history.past.at(-1);
  if (!last) return history;
  return {
    past: history.past.slice(0, -1),
    present: last.before,
    future: [{ name: last.name, after: history.present }, ...history.future],
  };
}

export function redone<T>(history: History<T>, at_ms: number): History<T> {
  const [next, ...rest] = history.future;
  if (!next) return history;
  const step = { name: next.name, merge: null, at_ms, before: history.present };
  return { past: [...history.past, step], present: next.after, future: rest };
}

/** The same history with the present said in another way, for instance numbers for texts. */
export function restated<T>(history: History<T>, present: T): History<T> {
  return { ...history, present };
}

function belongs<T>(last: Step<T>, change: Change): boolean {
  const same = change.merge !== undefined && change.merge !== null && change.merge === last.merge;
  return same && change.at_ms - last.at_ms <= MERGE_MS;
}
