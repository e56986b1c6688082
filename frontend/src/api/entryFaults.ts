/** Entries that the server refused one by one, in words of the page where it has them. */

import { language } from "../i18n";
import { isSaid, say } from "../i18n/say";
import { toldText } from "../i18n/told";
import { RefusedError } from "./client";

type Fault = { loc: unknown[]; detail: string; code?: string; figures?: Record<string, string> };

/** The sentence on one entry of what was sent, or nothing; `file` holds the words `fault`. */
export function entrySentence(fault: Error | null, entry: string, file: string): string | null {
  const found = faultsOf(fault).find(({ loc }) => loc[1] === entry);
  if (!found) return null;
  const key = `fault.${found.code}`;
  return isSaid(`${file}:${key}`) ? say(file, key, written(found.figures)) : toldText(found.detail);
}

/** What was refused as a whole: the server's sentence, if no entry has one of its own. */
export function wholeSentence(fault: Error | null): string | null {
  return fault && faultsOf(fault).length === 0 ? fault.message : null;
}

function faultsOf(fault: Error | null): Fault[] {
  if (!(fault instanceof RefusedError) || !Array.isArray(fault.body.errors)) return [];
  return fault.body.errors as Fault[];
}

/** Figures with the reader's decimal mark; their digits are the server's. */
function written(figures: Record<string, string> = {}): Record<string, string> {
  const mark = language() === "de" ? "," : ".";
  return Object.fromEntries(
    Object.entries(figures).map(([name, text]) => [name, text.replace(".", mark)]),
  );
}
