import type { ReactNode } from "react";
import { momentText, readMoment } from "../../i18n/dayTexts";
import { CalendarField, type CalendarForm, isAfter } from "../../shell/CalendarField";
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

const MOMENT: CalendarForm = {
  kind: "datetime-local",
  example: "2026-04-03T08:30",
  length: "2026-04-03T08:30".length,
  show: momentText,
  read: readMoment,
};

/** A day and the time of the clock on the wall; it can be changed and not emptied. */
export function TimeField(props: TimeFieldProps) {
  const { label, value, sentence = null, latest, onTime, onUnread } = props;
  return (
    <CalendarField
      form={MOMENT}
      label={label}
      value={value}
      sentence={sentence}
      hint={value === "" ? null : weekdayDay(value.slice(0, 10))}
      latest={latest}
      onRead={(local) => local && onTime(local)}
      onUnread={onUnread}
    />
  );
}

/** Whether a time lies after the last one that can be; seconds do not count. */
export function isLater(local: string, latest: string): boolean {
  return isAfter(local, latest, MOMENT);
}
