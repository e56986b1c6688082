import { type ReactNode, useState } from "react";
import { number } from "../i18n/figures";
import { Field } from "./Field";
import { useOff } from "./rights";

type NumberFieldProps = {
  label: ReactNode;
  unit?: string;
  /** As saved: a number; as typed and not read yet: a text. */
  value: number | string | null;
  /** Digits after the comma that the saved number is shown with; its own if left out. */
  digits?: number;
  sentence?: ReactNode;
  hint?: ReactNode;
  action?: ReactNode;
  disabled?: boolean;
  /** The text as typed; the server's parser reads it when the case is saved. */
  onType: (text: string) => void;
};

/**
 * A measured number. It is never parsed here: what was typed goes to the server as it is, and
 * stays as it is while the field has the focus.
 */
export function NumberField(props: NumberFieldProps) {
  const { label, value, digits, sentence = null, onType, disabled = false } = props;
  const off = useOff();
  const [typed, setTyped] = useState<string | null>(null);
  const shown = typed ?? textOf(value, digits);
  const type = (text: string) => {
    setTyped(text);
    onType(text);
  };
  return (
    <Field {...props} label={label} sentence={sentence}>
      {(joined) => (
        <input
          {...joined}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          disabled={disabled || off !== null}
          value={shown}
          onChange={(event) => type(event.target.value)}
          onBlur={() => setTyped(null)}
        />
      )}
    </Field>
  );
}

/** A saved number in the reader's digits; a text as it was typed. */
export function textOf(value: number | string | null, digits?: number): string {
  if (value === null) return "";
  if (typeof value === "string") return value;
  const own = String(value).split(".")[1]?.length ?? 0;
  return number(value, digits ?? Math.min(own, 3));
}
