import { expect, it } from "vitest";
import { reelAt, stepped } from "./reel";

it("plays on to the last moment and stops there", () => {
  let reel = reelAt(0, true);
  for (let i = 0; i < 9; i += 1) reel = stepped(reel, 1, 3);
  expect(reel).toEqual({ at: 3, plays: false });
});

it("pauses when it is stepped by hand, and never leaves the film", () => {
  expect(stepped(reelAt(0, true), -1, 3, false)).toEqual({ at: 0, plays: false });
  expect(stepped(reelAt(1, true), 1, 3, false)).toEqual({ at: 2, plays: false });
});
