import type { ReactNode } from "react";
import { Field } from "./Field";
import { useOff } from "./rights";

type DayFieldProps = {
  label: ReactNode;
  /** ISO date, or nothing. */
  value: string | null;
  sentence?: ReactNode;
  hint?: ReactNode;
  latest?: string;
  onDay: (iso: string | null) => void;
};

/** A day of the calendar, by the device's own picker. */
export function DayField({ label, value, sentence = null, hint, latest, onDay }: DayFieldProps) {
  const off = useOff();
  return (
    <Field label={label} sentence={sentence} hint={hint}>
      {(joined) => (
        <input
          {...joined}
          type="date"
          disabled={off !== null}
          max={latest}
          value={value ?? ""}
          onChange={(event) => onDay(event.target.value || null)}
        />
      )}
    </Field>
  );
}
