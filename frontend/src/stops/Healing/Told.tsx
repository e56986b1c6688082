import { told } from "./phrases";

/** A sentence of the server, marked with the language it is in. */
export function Told({ children }: { children: string }) {
  const { words, lang } = told(children);
  return <span lang={lang}>{words}</span>;
}
