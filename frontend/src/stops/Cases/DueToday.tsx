import { useQuery } from "@tanstack/react-query";
import { read } from "../../api/client";
import type { DueLine } from "../../api/records";
import { useSay } from "../../i18n/say";
import { hashOf } from "../../routes";

/** What is due today, over all cases. */
export function DueToday() {
  const t = useSay("cases");
  const { data } = useQuery({
    queryKey: ["due"],
    queryFn: ({ signal }) => read<DueLine[]>("/api/due", signal),
  });
  if (!data) return null;
  return (
    <section className="due">
      <h1>{t("due.title", { count: data.length })}</h1>
      <ul>
        {data.map((line) => (
          <li key={`${line.case_id} ${line.what}`}>
            <a href={hashOf({ at: "case", caseId: line.case_id, stop: "healing" })}>{line.label}</a>
            <span>{line.what}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}
