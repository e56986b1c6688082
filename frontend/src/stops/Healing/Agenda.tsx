import type { HealingPlan } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Note } from "../../shell/Note";
import type { StopProps } from "../contract";
import { AgendaRow } from "./AgendaRow";
import type { AgendaTask } from "./records";

const SHOWN_AHEAD = 5;

/** What is due, what comes next, and behind folds what comes later and what is over. */
export function Agenda(props: StopProps & { healing: HealingPlan }) {
  const t = useSay("healing");
  const { agenda } = props.healing;
  const now = agenda.filter(({ state }) => state === "due" || state === "overdue");
  const ahead = withoutLaterReadings(agenda.filter(({ state }) => state === "ahead"));
  const over = agenda.filter(({ state }) => state === "done" || state === "passed").reverse();
  const rows = (tasks: readonly AgendaTask[]) => (
    <ul className="agenda">
      {tasks.map((each) => (
        <AgendaRow key={each.task.code} {...props} each={each} />
      ))}
    </ul>
  );
  return (
    <div className="notes healing-agenda">
      <Note title={t("agenda.title")}>
        {now.length === 0 ? <p>{t("agenda.nothing_due")}</p> : rows(now)}
        {rows(ahead.slice(0, SHOWN_AHEAD))}
        {ahead.length > SHOWN_AHEAD ? (
          <Fold title={t("agenda.later", { count: ahead.length - SHOWN_AHEAD })}>
            {rows(ahead.slice(SHOWN_AHEAD))}
          </Fold>
        ) : null}
        {over.length > 0 ? (
          <Fold title={t("agenda.over", { count: over.length })}>{rows(over)}</Fold>
        ) : null}
        <p className="small">{t("agenda.protocols")}</p>
      </Note>
    </div>
  );
}

/** The drain is read daily: the next reading stands for all that follow. */
function withoutLaterReadings(ahead: readonly AgendaTask[]): AgendaTask[] {
  const next = ahead.find(({ rule }) => rule === "drain");
  return ahead.filter((each) => each.rule !== "drain" || each === next);
}
