import { useDeferredValue, useState } from "react";
import { refusalOf, useCases } from "../../api/queries";
import type { CaseLine } from "../../api/records";
import { day, todayIso } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { hashOf } from "../../routes";
import { Empty } from "../../shell/Empty";
import { Field } from "../../shell/Field";
import { Told } from "../../shell/Told";

/** Every case, the last saved first; words narrow the list. */
export function CaseList() {
  const t = useSay("cases");
  const [typed, setTyped] = useState("");
  const { data, error, isPending } = useCases(useDeferredValue(typed));
  return (
    <section>
      <h1>{t("list.title")}</h1>
      <Field label={t("list.search")}>
        {(joined) => (
          <input
            {...joined}
            type="search"
            value={typed}
            onChange={(e) => setTyped(e.target.value)}
          />
        )}
      </Field>
      {error ? (
        <Empty>
          <Told>{refusalOf(error) ?? error.message}</Told>
        </Empty>
      ) : null}
      {isPending ? <Empty>{t("list.reading")}</Empty> : null}
      {data?.length === 0 ? (
        <Empty>{t(typed ? "list.no_match" : "list.none", { typed })}</Empty>
      ) : null}
      <ul className="case-list">
        {data?.map((line) => (
          <Row key={line.case_id} line={line} />
        ))}
      </ul>
    </section>
  );
}

function Row({ line }: { line: CaseLine }) {
  const t = useSay("cases");
  const today = todayIso();
  return (
    <li>
      <a href={hashOf({ at: "case", caseId: line.case_id, stop: "disease" })}>
        <span>
          <b>{line.label}</b>
          <span className="small">{line.identifier}</span>
        </span>
        <span>{t("list.seen", { day: day(line.seen_on, today) })}</span>
        <span>
          {line.operated_on
            ? t("list.operated", { day: day(line.operated_on, today) })
            : t("list.not_operated")}
        </span>
        <span className="small">
          {t("list.saved", { number: line.number, day: day(line.saved_at.slice(0, 10), today) })}
        </span>
      </a>
    </li>
  );
}
