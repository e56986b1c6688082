import { type ReactNode, useRef } from "react";
import { useSay } from "../i18n/say";
import { Field } from "./Field";
import { useOff } from "./rights";
import { useTyped } from "./useTyped";

/** How days, or days with a time, are typed, shown and chosen. */
export type CalendarForm = {
  /** Of the device's own calendar. */
  kind: "date" | "datetime-local";
  /** Shown as what is typed here. */
  example: string;
  /** Characters of a value that the calendar knows; seconds are none of them. */
  length: number;
  show: (value: string) => string;
  read: (text: string) => string | null;
};

type CalendarFieldProps = {
  form: CalendarForm;
  label: ReactNode;
  /** ISO, local; empty: not given. */
  value: string;
  sentence: ReactNode;
  /** What stands below; nothing: how it is typed. */
  hint: ReactNode;
  latest: string | undefined;
  /** Told what was typed; empty: the field was emptied. */
  onRead: (value: string) => void;
  /** Told whether a text stands here that cannot be read. */
  onUnread: ((isUnread: boolean) => void) | undefined;
};

/** What is typed in the language of the page, or chosen on the device's calendar. */
export function CalendarField(props: CalendarFieldProps) {
  const { form, label, value, sentence, hint, latest, onRead, onUnread } = props;
  const t = useSay();
  const off = useOff() !== null;
  const typed = useTyped({ value, show: form.show, read: form.read, onRead, onUnread });
  const example = form.show(form.example);
  const unread = typed.isUnread ? t("day.unread", { example }) : null;
  const after =
    latest && isAfter(value, latest, form) ? t("day.after", { day: form.show(latest) }) : null;
  return (
    <Field
      label={label}
      sentence={unread ?? sentence ?? after}
      hint={hint ?? t("day.like", { example })}
    >
      {(joined) => (
        <>
          <input
            {...joined}
            {...typed.handlers}
            type="text"
            autoComplete="off"
            disabled={off}
            value={typed.text}
          />
          <Calendar form={form} value={value} latest={latest} off={off} onPick={onRead} />
        </>
      )}
    </Field>
  );
}

/** Whether a value lies after the last one that can be. */
export function isAfter(value: string, latest: string, { length }: CalendarForm): boolean {
  return value.slice(0, length) > latest.slice(0, length);
}

type CalendarProps = Pick<CalendarFieldProps, "form" | "value" | "latest"> & {
  off: boolean;
  onPick: (value: string) => void;
};

/** The device's own calendar, for whoever would rather choose than type. */
function Calendar({ form, value, latest, off, onPick }: CalendarProps) {
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
        type={form.kind}
        tabIndex={-1}
        aria-hidden
        disabled={off}
        max={latest}
        value={value.slice(0, form.length)}
        onChange={(event) => event.target.value && onPick(event.target.value)}
      />
    </span>
  );
}
