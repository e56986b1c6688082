import { useTranslation } from "react-i18next";
import { told } from "../i18n/told";

/** What the server said, each piece marked with the language it is in. */
export function Told({ children }: { children: string }) {
  useTranslation();
  return told(children).map(({ words, lang }, i) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: the pieces of one text keep their order
    <span key={i} lang={lang}>
      {words}
    </span>
  ));
}
