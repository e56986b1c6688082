import { type ReactNode, useRef } from "react";
import { dayText, readDay } from "../i18n/dayTexts";
import { dayForm } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { Field, type Joined } from "./Field";
import { useOff } from "./rights";
import { type Typed, useTyped } from "./useTyped";

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

const EXAMPLE = "2026-04-03";

/** A day of the calendar, typed in the language of the page or chosen on the device's calendar. */
export function DayField(props: DayFieldProps) {
  const { label, value, sentence = null, hint, latest, onDay, onUnread } = props;
  const t = useSay();
  const off = useOff() !== null;
  const typed = useTyped({
    value: value ?? "",
    show: dayText,
    read: readDay,
    onRead: (iso) => onDay(iso || null),
    onUnread,
  });
  const unread = typed.isUnread ? t("day.unread", { example: dayText(EXAMPLE) }) : null;
  const isAfter = value !== null && latest !== undefined && value > latest;
  return (
    <Field
      label={label}
      sentence={unread ?? sentence ?? (isAfter ? t("day.after", { day: dayText(latest) }) : null)}
      hint={
        hint ??
        (value ? dayForm(value, { weekday: "long" }) : t("day.like", { example: dayText(EXAMPLE) }))
      }
    >
      {(joined) => (
        <>
          <TypedInput joined={joined} typed={typed} off={off} />
          <Calendar kind="date" value={value ?? ""} latest={latest} off={off} onPick={onDay} />
        </>
      )}
    </Field>
  );
}

type TypedInputProps = { joined: Joined; typed: Typed; off: boolean };

/** Where a day or a time is typed. */
export function TypedInput({ joined, typed, off }: TypedInputProps) {
  return (
    <input
      {...joined}
      {...typed.handlers}
      type="text"
      autoComplete="off"
      disabled={off}
      value={typed.text}
    />
  );
}

type CalendarProps = {
  kind: "date" | "datetime-local";
  value: string;
  latest: string | undefined;
  off: boolean;
  onPick: (value: string | null) => void;
};

/** The device's own calendar, for whoever would rather choose than type. */
export function Calendar({ kind, value, latest, off, onPick }: CalendarProps) {
  const t = useSay();
  const own = useRef<HTMLInputElement>(null);
  return (
    <span className="field-calendar">
      <button
        type="button"
        className="quiet"
        disabled={off}
        onClick={() => own.current?.showPicker?.()}
      >
        {t("day.calendar")}
      </button>
      <input
        ref={own}
        type={kind}
        tabIndex={-1}
        aria-hidden
        disabled={off}
        max={latest}
        value={value}
        onChange={(event) => event.target.value && onPick(event.target.value)}
      />
    </span>
  );
}
