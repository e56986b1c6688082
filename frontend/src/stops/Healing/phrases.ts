/** Sentences that the server knows by heart, in the reader's language; others as it sent them. */

import { language, WORDS } from "../../i18n";
import { say } from "../../i18n/say";

type Told = { words: string; lang: "en" | "de" };

/** The reader's words for a fixed sentence of the server, and the language they are in. */
export function told(text: string): Told {
  const key = keyOf(text);
  if (key === undefined) return { words: text, lang: "en" };
  return { words: say("healing", `server.${key}`), lang: language() };
}

function keyOf(text: string): string | undefined {
  const known = (WORDS.en.healing?.server ?? {}) as Record<string, string>;
  return Object.keys(known).find((key) => known[key] === text);
}
