import { expect, it } from "vitest";
import { changed, type History, historyOf, redone, undone } from "./history";

const made = (history: History<string>, next: string, at_ms = 0, merge?: string) =>
  changed(history, next, { name: `to ${next}`, at_ms, merge: merge ?? null });

it("undoes and redoes to exactly the same objects", () => {
  const states = [{ n: 0 }, { n: 1 }, { n: 2 }];
  const [a, b, c] = states as [{ n: number }, { n: number }, { n: number }];
  const two = changed(changed(historyOf(a), b, { name: "b", at_ms: 0 }), c, {
    name: "c",
    at_ms: 1,
  });
  expect(undone(undone(two)).present).toBe(a);
  expect(redone(redone(undone(undone(two)), 9), 9).present).toBe(c);
});

it("forgets what could be redone once something else is done", () => {
  const back = undone(made(made(historyOf("a"), "b"), "c"));
  const other = made(back, "d");
  expect(redone(other, 0)).toBe(other);
  expect(undone(other).present).toBe("b");
});

it("takes typing in one field within a second as one step", () => {
  const typed = made(made(made(historyOf(""), "1", 0, "f"), "12", 900, "f"), "12,", 1800, "f");
  expect(undone(typed).present).toBe("");
});

it("keeps steps apart after a pause, and steps of other fields", () => {
  expect(undone(made(made(historyOf(""), "1", 0, "f"), "12", 1001, "f")).present).toBe("1");
  expect(undone(made(made(historyOf(""), "1", 0, "f"), "12", 10, "g")).present).toBe("1");
});

it("does nothing when nothing changed or nothing is left to undo", () => {
  const history = historyOf("a");
  expect(made(history, "a")).toBe(history);
  expect(undone(history)).toBe(history);
});
