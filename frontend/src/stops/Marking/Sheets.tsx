import { language } from "../../i18n";
import { useSay } from "../../i18n/say";
import "./Sheets.css";

type SheetsProps = { caseId: string; names: readonly string[]; paper: string };

/** How a sheet is to be printed: onto the paper at hand, in the reader's language. */
export function asPrinted(paper: string): string {
  return `paper=${paper}&language=${language()}`;
}

/** One link a sheet; the server draws it when it is opened. */
export function Sheets({ caseId, names, paper }: SheetsProps) {
  const t = useSay("marking");
  return (
    <ul className="sheets">
      {names.map((name) => (
        <li key={name}>
          <a
            className="quiet"
            href={`/api/cases/${caseId}/sheets/${name}?${asPrinted(paper)}`}
            target="_blank"
            rel="noreferrer"
          >
            {t(`sheets.${name.replace(".", "_")}`)}
          </a>
        </li>
      ))}
    </ul>
  );
}
