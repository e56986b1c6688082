/** Where a film is, and whether it goes on by itself. */

export type Reel = { at: number; plays: boolean };

export function reelAt(at: number, plays: boolean): Reel {
  return { at, plays };
}

/** So many moments on or back, never past an end; at the last one it stops. */
export function stepped(reel: Reel, by: number, last: number, plays = reel.plays): Reel {
  const at = Math.min(last, Math.max(0, reel.at + by));
  return { at, plays: plays && at < last };
}
