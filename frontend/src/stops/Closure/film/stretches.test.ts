import { expect, it } from "vitest";
import type { ScarWindow } from "../../../api/records";
import { stretches } from "./stretches";

const windowOf = (seam: string, pull: string, from: number): ScarWindow =>
  ({
    seam,
    pull,
    donor: false,
    line_mm: [
      [from, 0],
      [from + 15, 0],
    ],
  }) as ScarWindow;

it("joins neighbouring windows of one seam and one pull, and no others", () => {
  const found = stretches([
    windowOf("A–B", "low", 0),
    windowOf("A–B", "low", 15),
    windowOf("A–B", "high", 30),
    windowOf("B–C", "high", 45),
  ]);
  expect(found.map(({ seam, pull, line }) => [seam, pull, line.length])).toEqual([
    ["A–B", "low", 3],
    ["A–B", "high", 2],
    ["B–C", "high", 2],
  ]);
});
