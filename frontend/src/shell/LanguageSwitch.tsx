import { language, speak } from "../i18n";
import { useSay } from "../i18n/say";

/** The other language, by its own name. */
export function LanguageSwitch() {
  const t = useSay();
  const other = language() === "en" ? "de" : "en";
  return (
    <button type="button" className="quiet" lang={other} onClick={() => speak(other)}>
      {t("language")}
    </button>
  );
}
