import type { ReactNode } from "react";
import { dayText, readDay } from "../i18n/dayTexts";
import { dayForm } from "../i18n/figures";
import { CalendarField, type CalendarForm } from "./CalendarField";

type DayFieldProps = {
  label: ReactNode;
  /** ISO date, or nothing. */
  value: string | null;
  sentence?: ReactNode;
  hint?: ReactNode;
  latest?: string;
  onDay: (iso: string | null) => void;
  /** Told whether a text stands here that is no day. */
  onUnread?: (isUnread: boolean) => void;
};

const DAY: CalendarForm = {
  kind: "date",
  example: "2026-04-03",
  length: "2026-04-03".length,
  show: dayText,
  read: readDay,
};

/** A day of the calendar. */
export function DayField(props: DayFieldProps) {
  const { label, value, sentence = null, hint, latest, onDay, onUnread } = props;
  return (
    <CalendarField
      form={DAY}
      label={label}
      value={value ?? ""}
      sentence={sentence}
      hint={hint ?? (value ? dayForm(value, { weekday: "long" }) : null)}
      latest={latest}
      onRead={(iso) => onDay(iso || null)}
      onUnread={onUnread}
    />
  );
}
