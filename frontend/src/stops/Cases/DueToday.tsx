import { useQuery } from "@tanstack/react-query";
import { read } from "../../api/client";
import type { DueLine } from "../../api/records";
import { todayIso } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { hashOf } from "../../routes";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopName } from "../contract";
import { shortDay } from "../Healing/days";

/** What is due today and what is overdue, over all cases; what was done is gone. */
export function DueToday() {
  const t = useSay("cases");
  const { data } = useQuery({
    queryKey: ["due"],
    queryFn: ({ signal }) => read<DueLine[]>("/api/due", signal),
    staleTime: 0,
  });
  if (!data) return null;
  return (
    <section className="due">
      <h1>{t("due.title", { count: data.length })}</h1>
      <ul>
        {data.map((line) => (
          <li key={`${line.case_id} ${line.code} ${line.what}`}>
            <a href={hashOf({ at: "case", caseId: line.case_id, stop: line.stop as StopName })}>
              {line.label}
            </a>
            <span>
              <Told>{line.what}</Told> <Since line={line} />
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Since({ line }: { line: DueLine }) {
  const t = useSay("cases");
  if (line.state !== "overdue" || line.on === null) return null;
  return <Tag kind="check">{t("due.since", { day: shortDay(line.on, todayIso()) })}</Tag>;
}
