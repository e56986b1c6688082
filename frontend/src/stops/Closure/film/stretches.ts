/** The scar as stretches of one pull: neighbouring windows that say the same are one. */

import type { PullClass, ScarWindow } from "../../../api/records";
import type { Line } from "../../../plan/paper";

export type Stretch = { seam: string; pull: PullClass; line: Line };

export function stretches(windows: readonly ScarWindow[]): Stretch[] {
  const all: Stretch[] = [];
  for (const { seam, pull, line_mm } of windows) {
    const before = all.at(-1);
    if (before?.seam === seam && before.pull === pull) {
      all[all.length - 1] = { seam, pull, line: [...before.line, ...line_mm.slice(1)] };
    } else all.push({ seam, pull, line: line_mm });
  }
  return all;
}
