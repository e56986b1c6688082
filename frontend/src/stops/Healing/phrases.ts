/** Sentences that the server knows by heart, in the reader's language; others as it sent them. */

import { language, WORDS } from "../../i18n";
import { say } from "../../i18n/say";

type Told = { words: string; lang: "en" | "de" };

const HOLE = /\{\{(\w+)\}\}/;
const SPECIAL = /[.*+?^${}()|[\]\\]/g;

/** The reader's words for a sentence of the server, its figures kept, and their language. */
export function told(text: string): Told {
  for (const [key, english] of Object.entries(known())) {
    const found = formOf(english).exec(text);
    if (found) return { words: say("healing", `server.${key}`, found.groups), lang: language() };
  }
  return { words: text, lang: "en" };
}

function known(): Record<string, string> {
  return (WORDS.en.healing?.server ?? {}) as Record<string, string>;
}

/** A sentence as a form that its figures fit into. */
function formOf(english: string): RegExp {
  const parts = english.split(HOLE);
  const form = parts.map((part, i) =>
    i % 2 === 1 ? `(?<${part}>.+?)` : part.replace(SPECIAL, "\\$&"),
  );
  return new RegExp(`^${form.join("")}$`);
}
