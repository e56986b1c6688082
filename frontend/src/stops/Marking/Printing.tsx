import { useSay } from "../../i18n/say";
import { Told } from "../../shell/Told";
import type { Issue } from "./useIssue";
import "./Sheets.css";

type PrintingProps = { names: readonly string[]; issue: Issue };

/** One button a sheet: it is put on record, then opened. */
export function Printing({ names, issue }: PrintingProps) {
  const t = useSay("marking");
  return (
    <ul className="sheets">
      {names.map((name) => (
        <li key={name}>
          <button type="button" className="quiet" onClick={() => issue.print(name)}>
            {t("print_what", { sheet: t(sheetKey(name)) })}
          </button>
        </li>
      ))}
    </ul>
  );
}

/** What was printed last, and where it is; or why it was not printed. */
export function LastIssued({ issue: { last, sentence } }: { issue: Issue }) {
  const t = useSay("marking");
  if (sentence) {
    return (
      <p role="alert">
        <Told>{sentence}</Told>
      </p>
    );
  }
  if (!last) return null;
  const sheet = t(sheetKey(last.name));
  return (
    <p className="small" role="status">
      {t("issued_now", { sheet })}{" "}
      <a href={last.href} target="_blank" rel="noreferrer">
        {t("open", { sheet })}
      </a>
    </p>
  );
}

/** Where the name of a sheet stands among the words. */
export function sheetKey(name: string): string {
  return `sheets.${name.replace(".", "_")}`;
}
