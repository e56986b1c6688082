import type { IssuedLine } from "../../api/records";
import { clock, day } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { Tag } from "../../shell/Tag";
import { sheetKey } from "./Printing";

/** Every print that left the program; those that say something else now come with a tag. */
export function IssuedSheets({ lines }: { lines: readonly IssuedLine[] }) {
  const t = useSay("marking");
  const count = lines.filter((line) => line.superseded).length;
  return (
    <Note title={t("issued.title")}>
      {lines.length === 0 ? <p className="small">{t("issued.none")}</p> : null}
      <ul className="issued">
        {lines.map((line) => (
          <Line key={`${line.sheet.at} ${line.sheet.kind}`} line={line} />
        ))}
      </ul>
      {count > 0 ? <p>{t("issued.find", { count })}</p> : null}
    </Note>
  );
}

function Line({ line: { sheet, superseded } }: { line: IssuedLine }) {
  const t = useSay("marking");
  const printed = { day: day(sheet.at.slice(0, 10)), time: clock(Date.parse(sheet.at)) };
  return (
    <li>
      <b>{t("issued.line", { sheet: t(sheetKey(sheet.kind)), paper: sheet.paper })}</b>
      <span className="small">
        {t("issued.printed", { plan: sheet.plan, code: sheet.code, ...printed })}
      </span>
      {superseded ? (
        <Tag kind="old">{t("issued.superseded")}</Tag>
      ) : (
        <span className="small">{t("issued.current")}</span>
      )}
    </li>
  );
}
