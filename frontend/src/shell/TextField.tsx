import type { ReactNode } from "react";
import { Field } from "./Field";

type TextFieldProps = {
  label: ReactNode;
  value: string;
  sentence?: string | null;
  hint?: ReactNode;
  /** Several lines. */
  long?: boolean;
  onType: (text: string) => void;
};

/** Free words: a label, a note. */
export function TextField({ label, value, sentence = null, hint, long, onType }: TextFieldProps) {
  return (
    <Field label={label} sentence={sentence} hint={hint}>
      {(joined) =>
        long ? (
          <textarea {...joined} value={value} onChange={(event) => onType(event.target.value)} />
        ) : (
          <input
            {...joined}
            type="text"
            autoComplete="off"
            value={value}
            onChange={(event) => onType(event.target.value)}
          />
        )
      }
    </Field>
  );
}
