import type { HealingPlan } from "../../api/records";
import { type Say, useSay } from "../../i18n/say";
import { DayField } from "../../shell/DayField";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { shortDay } from "./days";
import { type AgendaTask, inAftercare, marked } from "./records";

type AgendaRowProps = StopProps & { healing: HealingPlan; each: AgendaTask };

/** One date: when, what, and whether it was done. */
export function AgendaRow({ each, healing, edit, today }: AgendaRowProps) {
  const t = useSay("healing");
  const { task, state } = each;
  const mark = (on: string | null) =>
    edit(
      t("edits.done"),
      inAftercare((care) => marked(care, healing.agenda, task.code, on)),
    );
  return (
    <li className={`agenda-${state}`}>
      <span className="agenda-day">
        {state === "due" ? t("agenda.today") : shortDay(task.on, today)}
      </span>
      <span className="agenda-what">
        <span>
          <Told>{task.task}</Told> <span className="small figure">{timeOf(task, t)}</span>
        </span>
        {state === "overdue" ? <Tag kind="check">{t("agenda.overdue")}</Tag> : null}
        {task.weekday_after && state === "ahead" ? (
          <span className="small">
            {t("agenda.weekend", { monday: shortDay(task.weekday_after, today) })}
          </span>
        ) : null}
        {task.warnings.map((warning) => (
          <span key={warning} className="small">
            <Told>{warning}</Told>
          </span>
        ))}
        <Done each={each} today={today} mark={mark} />
      </span>
    </li>
  );
}

type DoneProps = { each: AgendaTask; today: string; mark: (on: string | null) => void };

/** Done and when, with the way back; or the way to say so. */
function Done({ each, today, mark }: DoneProps) {
  const t = useSay("healing");
  const { rule, state, done_on } = each;
  if (rule === "drain") {
    return state === "done" ? <b>{t("agenda.read")}</b> : null;
  }
  if (done_on === null) {
    if (state !== "due" && state !== "overdue") return null;
    return (
      <button type="button" className="quiet" onClick={() => mark(today)}>
        {t("agenda.mark")}
      </button>
    );
  }
  return (
    <span className="agenda-done">
      <DayField
        label={<b>{t("agenda.done_on")}</b>}
        value={done_on}
        latest={today}
        onDay={(day) => day && mark(day)}
      />
      <button type="button" className="quiet" onClick={() => mark(null)}>
        {t("agenda.unmark")}
      </button>
    </span>
  );
}

/** "day 14", or for the later visits "after 2 years". */
function timeOf({ code, day }: AgendaTask["task"], t: Say): string {
  const [, count, unit] = /-(\d+)-(months|years)$/.exec(code) ?? [];
  return count ? t(`agenda.after_${unit}`, { count: Number(count) }) : t("agenda.day", { day });
}
