import type { ReactNode } from "react";
import { Field } from "./Field";
import { useOff } from "./rights";

type TextFieldProps = {
  label: ReactNode;
  value: string;
  sentence?: ReactNode;
  hint?: ReactNode;
  /** Several lines. */
  long?: boolean;
  onType: (text: string) => void;
};

/** Free words: a label, a note. */
export function TextField({ label, value, sentence = null, hint, long, onType }: TextFieldProps) {
  const off = useOff();
  return (
    <Field label={label} sentence={sentence} hint={hint}>
      {(joined) =>
        long ? (
          <textarea
            {...joined}
            disabled={off !== null}
            value={value}
            onChange={(event) => onType(event.target.value)}
          />
        ) : (
          <input
            {...joined}
            type="text"
            disabled={off !== null}
            autoComplete="off"
            value={value}
            onChange={(event) => onType(event.target.value)}
          />
        )
      }
    </Field>
  );
}
