import { beforeEach, expect, it } from "vitest";
import { historyOf, undone } from "../editing/history";
import { doing, keepMoves, keptMoves, type Moves, moved, placing, withMove } from "./moves";

beforeEach(() => sessionStorage.clear());

it("keeps the last place of a handle that is moved again, and the order of all else", () => {
  const moves = [placing("A", [1, 2]), placing("A", [3, 4]), doing("mirror"), placing("A", [5, 6])];
  const kept = moves.reduce<Moves>(withMove, []);
  expect(kept).toEqual([placing("A", [3, 4]), doing("mirror"), placing("A", [5, 6])]);
});

it("takes a run of arrow keys back in one step, and what came before in another", () => {
  let history = moved(historyOf<Moves>([]), placing("A", [1, 1]), 0);
  history = moved(history, placing("B", [0, 0]), 5000);
  history = moved(history, placing("B", [0, 1]), 5100);
  expect(undone(history).present).toEqual([placing("A", [1, 1])]);
  expect(undone(undone(history)).present).toEqual([]);
});

it("finds the moves of this plan again and of no other", () => {
  keepMoves("C12", "A", [placing("A", [1, 2])]);
  expect(keptMoves("C12", "A").present).toEqual([placing("A", [1, 2])]);
  expect(keptMoves("C12", "B").present).toEqual([]);
  keepMoves("C12", "A", []);
  expect(keptMoves("C12", "A").present).toEqual([]);
});
