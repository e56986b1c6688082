/** From where a drawing in space is seen: turned about the head axis, then tilted. */

/** Degrees turned to the patient's right and tilted towards the head; how near. */
export type Turn = { around_deg: number; over_deg: number; nearness: number };

export const FROM_BEHIND: Turn = { around_deg: 0, over_deg: 0, nearness: 1 };
export const FROM_SIDE: Turn = { around_deg: 90, over_deg: 0, nearness: 1 };
export const FROM_HEAD: Turn = { around_deg: 0, over_deg: 85, nearness: 1 };

/** A little aside and above: depth is seen at once. */
export const FIRST_TURN: Turn = { around_deg: 35, over_deg: 25, nearness: 1 };

const MOST_OVER = 89;
const NEARNESS = [0.5, 4] as const;

/** Turned on by degrees; never over the pole, so that the head stays up. */
export function turnedBy(turn: Turn, around_deg: number, over_deg: number): Turn {
  const over = Math.max(-MOST_OVER, Math.min(MOST_OVER, turn.over_deg + over_deg));
  return { ...turn, around_deg: (turn.around_deg + around_deg) % 360, over_deg: over };
}

export function nearer(turn: Turn, times: number): Turn {
  const [least, most] = NEARNESS;
  return { ...turn, nearness: Math.max(least, Math.min(most, turn.nearness * times)) };
}

/** The direction from the middle to the eye, a unit vector of the skin frame. */
export function eyeOf({ around_deg, over_deg }: Turn): [number, number, number] {
  const [a, o] = [(around_deg * Math.PI) / 180, (over_deg * Math.PI) / 180];
  return [Math.sin(a) * Math.cos(o), Math.sin(o), Math.cos(a) * Math.cos(o)];
}
