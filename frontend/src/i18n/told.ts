/**
 * What the server says, in the reader's language.
 *
 * The server says everything in English. The catalogue beside `src/crena/draw/german.py`, where it
 * is described, holds its German for page and paper; this file reads it as that one does.
 */

import { language } from "./index";

/** Words, and the language that they are in. */
export type Piece = { words: string; lang: "en" | "de" };

/** What the server said, piece by piece; what the catalogue does not hold stays English. */
export function told(text: string): readonly Piece[] {
  return language() === "de" ? inGerman(text) : [{ words: text, lang: "en" }];
}

/** The same as plain text, where no language can be marked. */
export function toldText(text: string): string {
  return told(text)
    .map(({ words }) => words)
    .join("");
}

const files = import.meta.glob<Record<string, string>>("../../../src/crena/draw/sentences/*.json", {
  eager: true,
  import: "default",
});

/** Every sentence of the catalogue with its German. */
export const CATALOGUE: ReadonlyMap<string, string> = new Map(
  Object.values(files).flatMap((file) => Object.entries(file)),
);

type Template = {
  beginning: string;
  names: readonly string[];
  kinds: readonly string[];
  /** What follows each name. */
  after: readonly string[];
  german: string;
};

const HOLE = /\{(\w+)(?::(\w+))?\}/g;
const BREAK = /(?<=[.?:]\*?) (?=[^a-z])/g;

const DAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split(" ");
const TAGE = "Montag Dienstag Mittwoch Donnerstag Freitag Samstag Sonntag".split(" ");
const MONTHS =
  "January February March April May June July August September October November December".split(
    " ",
  );
const MONATE =
  "Januar Februar März April Mai Juni Juli August September Oktober November Dezember".split(" ");
const UNITS = new Map([
  ["mm", "mm"],
  ["cm²", "cm²"],
  ["mL", "mL"],
  ["kg", "kg"],
  ["degrees", "Grad"],
  ["days", "Tage"],
]);

/** What holds a list together, the widest first. */
const JOINTS = [
  ["; and ", "; und "],
  ["; or ", "; oder "],
  ["; ", "; "],
  [" and ", " und "],
  [", ", ", "],
] as const;

const FIGURE = "[-+−]?(?:[0-9](?:[0-9.,–]*[0-9])?(?:e[+-]?[0-9]+)?|inf|nan)";
const WITHIN = "(?:(?!\\. ).)+?";

/** What fits into a name, and how it is said in German, by what the name stands for. */
const KINDS: Readonly<Record<string, { form: RegExp; read: (text: string) => string | null }>> = {
  "": { form: whole(FIGURE), read: figure },
  amount: { form: whole(`${FIGURE}(?: (?:${[...UNITS.keys()].join("|")}))?`), read: amount },
  date: {
    form: whole(`(?:(?:${DAYS.join("|")}) )?[0-9]{1,2} (?:${MONTHS.join("|")}) [0-9]{4}`),
    read: date,
  },
  words: { form: whole(WITHIN), read: (text) => listed(text) },
  text: { form: whole(WITHIN), read: (text) => text },
  name: { form: whole(WITHIN), read: (text) => listed(text) ?? text },
  value: { form: whole(WITHIN), read: (text) => readAs("", text) ?? text },
  entry: { form: whole(".+"), read: (text) => text },
  sentences: { form: whole(".+"), read: sentences },
  code: { form: whole("[^\\s,;]+"), read: (text) => text },
  field: { form: whole("\\w*[._\\[][\\w.\\[\\]]*"), read: (text) => text },
  size: { form: whole("[0-9]+(?:-[0-9]+)?"), read: (text) => text },
  clock: { form: whole("[0-9]{2}:[0-9]{2}"), read: (text) => text },
};

let compiled: readonly Template[] | undefined;

/** The sentences with names, most words of their own first; made once somebody reads German. */
function templates(): readonly Template[] {
  compiled ??= [...CATALOGUE]
    .filter(([english]) => english.includes("{"))
    .sort(([one], [other]) => ownLetters(other) - ownLetters(one) || (one < other ? -1 : 1))
    .map(([english, german]) => template(english, german));
  return compiled;
}

const inGerman = kept((text: string): readonly Piece[] =>
  text
    .split("\n")
    .flatMap((line, i) => [
      ...(i > 0 ? [{ words: "\n", lang: "de" } as const] : []),
      ...piecesOf(line),
    ]),
);

function piecesOf(line: string): Piece[] {
  if (line === "") return [];
  const ends = [...[...line.matchAll(BREAK)].map(({ index }) => index), line.length];
  for (const end of ends.toReversed()) {
    const words = entry(line.slice(0, end));
    if (words !== null) return withRest(words, "de", line, end);
  }
  const end = ends[0] ?? line.length;
  return withRest(line.slice(0, end), "en", line, end);
}

/** Words with what parts them from the next sentence, and the pieces after them. */
function withRest(words: string, lang: Piece["lang"], line: string, end: number): Piece[] {
  const piece = { words: words + line.slice(end, end + 1), lang };
  return [piece, ...piecesOf(line.slice(end + 1))];
}

/** A phrase, a list or a sentence that is one entry of the catalogue, with its point or without. */
function entry(text: string): string | null {
  const found = listed(text);
  if (found !== null) return found;
  if (!text.endsWith(".")) return listed(`${text}.`)?.replace(/\.$/, "") ?? null;
  const stopped = listed(text.slice(0, -1));
  return stopped === null ? null : `${stopped}.`;
}

const listed = kept((text: string): string | null => {
  const found = said(text);
  if (found !== null) return found;
  for (const [joint, german] of JOINTS) {
    for (const at of placesOf(joint, text)) {
      const first = said(text.slice(0, at));
      const rest = first === null ? null : listed(text.slice(at + joint.length));
      if (rest !== null) return `${first}${german}${rest}`;
    }
  }
  return null;
});

/** One entry, also where it begins with a capital because a sentence does. */
const said = kept((text: string): string | null => {
  const found = known(text);
  const first = text.slice(0, 1);
  if (found !== null || first === first.toLowerCase()) return found;
  const small = known(first.toLowerCase() + text.slice(1));
  return small === null ? null : small.slice(0, 1).toUpperCase() + small.slice(1);
});

function known(text: string): string | null {
  const plain = CATALOGUE.get(text);
  if (plain !== undefined) return plain;
  for (const form of templates()) {
    const values = valuesOf(form, text);
    if (values)
      return form.german.replace(HOLE, (_, name) => values[form.names.indexOf(name)] ?? "");
  }
  return null;
}

function valuesOf(form: Template, text: string): string[] | null {
  if (!text.startsWith(form.beginning) || !text.endsWith(form.after.at(-1) ?? "")) return null;
  return fitting(text.slice(form.beginning.length), form.kinds, form.after);
}

/** The values of a text that begins with the first of some names, in German. */
function fitting(
  text: string,
  [kind, ...kinds]: readonly string[],
  [next = "", ...after]: readonly string[],
): string[] | null {
  if (kind === undefined) return text === "" ? [] : null;
  const ends = kinds.length > 0 ? placesOf(next, text) : [Math.max(text.length - next.length, 0)];
  for (const end of ends) {
    const value = readAs(kind, text.slice(0, end));
    const rest = value === null ? null : fitting(text.slice(end + next.length), kinds, after);
    if (value !== null && rest) return [value, ...rest];
  }
  return null;
}

function readAs(kind: string, text: string): string | null {
  const how = KINDS[kind];
  return how?.form.test(text) ? how.read(text) : null;
}

function sentences(text: string): string | null {
  const pieces = piecesOf(text);
  return pieces.some(({ lang }) => lang === "en") ? null : pieces.map((p) => p.words).join("");
}

/** "12.5" as "12,5", "1,247" as "1.247". */
function figure(text: string): string {
  return text.replace(/(?<=[0-9])[.,](?=[0-9])/g, (mark) => (mark === "." ? "," : "."));
}

function amount(text: string): string {
  const [value = "", unit] = text.split(" ");
  return unit ? `${figure(value)} ${UNITS.get(unit)}` : figure(value);
}

/** "Tuesday 8 December 2026" as "Dienstag, 8. Dezember 2026". */
function date(text: string): string {
  const [year, month = "", day, weekday] = text.split(" ").toReversed();
  const before = weekday ? `${TAGE[DAYS.indexOf(weekday)]}, ` : "";
  return `${before}${day}. ${MONATE[MONTHS.indexOf(month)]} ${year}`;
}

function template(english: string, german: string): Template {
  const parts = english.split(HOLE);
  const each = (from: number) => parts.filter((_, i) => i % 3 === from).map((part) => part ?? "");
  const [beginning = "", ...after] = each(0);
  return { beginning, names: each(1), kinds: each(2), after, german };
}

function ownLetters(english: string): number {
  return english.replace(HOLE, "").length;
}

function placesOf(part: string, text: string): number[] {
  const places = [];
  for (let at = text.indexOf(part); at >= 0; at = text.indexOf(part, at + 1)) places.push(at);
  return places;
}

function whole(form: string): RegExp {
  return new RegExp(`^(?:${form})$`, "u");
}

/** A function that keeps what it found. */
function kept<T>(find: (text: string) => T): (text: string) => T {
  const found = new Map<string, T>();
  return (text) => {
    const before = found.get(text);
    if (before !== undefined) return before;
    const now = find(text);
    found.set(text, now);
    return now;
  };
}
