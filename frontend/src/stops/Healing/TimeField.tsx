import type { ReactNode } from "react";
import { Field } from "../../shell/Field";

type TimeFieldProps = {
  label: string;
  /** 2026-11-25T08:30 or with seconds; empty: not given. */
  value: string;
  sentence?: ReactNode;
  latest?: string;
  onTime: (local: string) => void;
};

/** A day and the time of the clock on the wall, by the device's own picker. */
export function TimeField({ label, value, sentence = null, latest, onTime }: TimeFieldProps) {
  return (
    <Field label={label} sentence={sentence}>
      {(joined) => (
        <input
          {...joined}
          type="datetime-local"
          max={latest}
          value={value.slice(0, 16)}
          onChange={(event) => onTime(event.target.value)}
        />
      )}
    </Field>
  );
}
