import type { ReactNode } from "react";
import { momentText, readMoment } from "../../i18n/dayTexts";
import { useSay } from "../../i18n/say";
import { Calendar, TypedInput } from "../../shell/DayField";
import { Field } from "../../shell/Field";
import { useOff } from "../../shell/rights";
import { useTyped } from "../../shell/useTyped";
import { weekdayDay } from "./days";

type TimeFieldProps = {
  label: string;
  /** 2026-11-25T08:30 or with seconds; empty: not given. */
  value: string;
  sentence?: ReactNode;
  latest?: string;
  onTime: (local: string) => void;
  /** Told whether a text stands here that is no day with a time. */
  onUnread?: (isUnread: boolean) => void;
};

const EXAMPLE = "2026-04-03T08:30";

/** A day and the time of the clock on the wall, typed in the language of the page. */
export function TimeField(props: TimeFieldProps) {
  const { label, value, sentence = null, latest, onTime, onUnread } = props;
  const t = useSay();
  const off = useOff() !== null;
  const typed = useTyped({
    value,
    show: momentText,
    read: readMoment,
    onRead: (local) => local && onTime(local),
    onUnread,
  });
  const example = momentText(EXAMPLE);
  const unread = typed.isUnread ? t("day.unread", { example }) : null;
  const after = isAfter(value, latest) ? t("day.after", { day: momentText(latest ?? "") }) : null;
  const hint = value === "" ? t("day.like", { example }) : weekdayDay(value.slice(0, 10));
  return (
    <Field label={label} sentence={unread ?? sentence ?? after} hint={hint}>
      {(joined) => (
        <>
          <TypedInput joined={joined} typed={typed} off={off} />
          <Calendar
            kind="datetime-local"
            value={value.slice(0, 16)}
            latest={latest}
            off={off}
            onPick={(local) => local && onTime(local)}
          />
        </>
      )}
    </Field>
  );
}

/** Whether a time lies after the last one that can be; seconds do not count. */
export function isAfter(local: string, latest: string | undefined): boolean {
  return latest !== undefined && local.slice(0, 16) > latest.slice(0, 16);
}
