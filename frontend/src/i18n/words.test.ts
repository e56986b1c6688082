import { expect, it } from "vitest";
import { measure, range } from "./figures";
import { speak, WORDS } from "./index";

type Tree = { [key: string]: string | Tree };

it("says the same things in both languages", () => {
  expect(keys(WORDS.de as Tree)).toEqual(keys(WORDS.en as Tree));
});

it("leaves no word empty", () => {
  const all = [...leaves(WORDS.en as Tree), ...leaves(WORDS.de as Tree)];
  expect(all.filter(([, word]) => word.trim() === "")).toEqual([]);
});

it("fills in the same figures in both languages", () => {
  const german = new Map(leaves(WORDS.de as Tree));
  const unlike = leaves(WORDS.en as Tree).filter(
    ([key, word]) => holes(word).join() !== holes(german.get(key) ?? "").join(),
  );
  expect(unlike).toEqual([]);
});

it("never shortens a side to a letter and never exclaims", () => {
  const all = [...leaves(WORDS.en as Tree), ...leaves(WORDS.de as Tree)];
  expect(all.filter(([, word]) => /!|(?<!\p{L})[LR](?!\p{L})/u.test(word))).toEqual([]);
});

it("writes figures as the reader does and keeps the unit on the line", () => {
  speak("de");
  expect(range(7.2, 9, "mm", 1)).toBe("7,2–9,0\u00a0mm");
  speak("en");
  expect(range(19, 22, "mm")).toBe("19–22\u00a0mm");
  expect(measure(-3, "mm")).toBe("−3\u00a0mm");
});

function leaves(tree: Tree, path = ""): [string, string][] {
  return Object.entries(tree).flatMap(([key, value]) =>
    typeof value === "string" ? [[`${path}${key}`, value]] : leaves(value, `${path}${key}.`),
  ) as [string, string][];
}

function keys(tree: Tree): string[] {
  return leaves(tree)
    .map(([key]) => key)
    .sort();
}

function holes(word: string): string[] {
  return [...word.matchAll(/\{\{(\w+)/g)].map((found) => found[1] ?? "").sort();
}
