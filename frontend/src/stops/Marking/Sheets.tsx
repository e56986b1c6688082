import { useSay } from "../../i18n/say";
import "./Sheets.css";

type SheetsProps = { caseId: string; names: readonly string[]; paper: string };

/** One link a sheet; the server draws it when it is opened. */
export function Sheets({ caseId, names, paper }: SheetsProps) {
  const t = useSay("marking");
  return (
    <ul className="sheets">
      {names.map((name) => (
        <li key={name}>
          <a
            className="quiet"
            href={`/api/cases/${caseId}/sheets/${name}?paper=${paper}`}
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
