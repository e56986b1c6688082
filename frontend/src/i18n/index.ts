/** The page's words: one file per stop and language, loaded with the page. */

import i18next from "i18next";
import { initReactI18next } from "react-i18next";

export const LANGUAGES = ["en", "de"] as const;
export type Language = (typeof LANGUAGES)[number];

const PLACE = "crena.language";

const files = import.meta.glob<Record<string, unknown>>("./*/*.json", {
  eager: true,
  import: "default",
});

/** Words by language and stop, as the files have them. */
export const WORDS = Object.fromEntries(
  LANGUAGES.map((language) => [language, wordsOf(language)]),
) as Record<Language, Record<string, Record<string, unknown>>>;

export const words = i18next.createInstance();

void words.use(initReactI18next).init({
  resources: WORDS,
  lng: firstLanguage(),
  fallbackLng: "en",
  defaultNS: "shell",
  initAsync: false,
  interpolation: { escapeValue: false },
});

document.documentElement.lang = words.language;

export function language(): Language {
  return words.language === "de" ? "de" : "en";
}

export function speak(next: Language): void {
  localStorage.setItem(PLACE, next);
  document.documentElement.lang = next;
  void words.changeLanguage(next);
}

function firstLanguage(): Language {
  const chosen = localStorage.getItem(PLACE) ?? navigator.language;
  return chosen.startsWith("de") ? "de" : "en";
}

function wordsOf(wanted: Language): Record<string, Record<string, unknown>> {
  const own = Object.entries(files).filter(([path]) => path.startsWith(`./${wanted}/`));
  return Object.fromEntries(
    own.map(([path, content]) => [path.slice(`./${wanted}/`.length, -".json".length), content]),
  );
}
