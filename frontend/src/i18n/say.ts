import { useCallback } from "react";
import { useTranslation } from "react-i18next";
import { words } from "./index";

/** The words for a key, with its figures filled in; "file:key" reads another file. */
export type Say = (key: string, figures?: Readonly<Record<string, string | number>>) => string;

/** How a component speaks: the words of one file, shell if none is named. */
export function useSay(file = "shell"): Say {
  const { i18n } = useTranslation(file);
  const { language } = i18n;
  // biome-ignore lint/correctness/useExhaustiveDependencies: another language says other words
  return useCallback((key, figures = {}) => say(file, key, figures), [file, language]);
}

/** Whether there are words for a key, for codes that come from the server. */
export function isSaid(key: string): boolean {
  return words.exists(key) || words.exists(`${key}_other`);
}

/** Words outside of components. */
export function say(file: string, key: string, figures: Parameters<Say>[1] = {}): string {
  return String(words.t(key, { ns: file, ...figures }));
}
