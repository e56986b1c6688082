import { useState } from "react";
import { useSay } from "../../i18n/say";
import { Field } from "../../shell/Field";

type NameFieldProps = { name: string; taken: readonly string[]; onName: (name: string) => void };

/** A name that must be one thing's alone: it counts when the field is left. */
export function NameField({ name, taken, onName }: NameFieldProps) {
  const t = useSay("disease");
  const [typed, setTyped] = useState<string | null>(null);
  const next = (typed ?? name).trim();
  const isTaken = next !== name && taken.includes(next);
  const sentence = isTaken ? t("name_taken") : next === "" ? t("name_empty") : null;
  const leave = () => {
    if (sentence !== null) return;
    setTyped(null);
    if (next !== name) onName(next);
  };
  return (
    <Field label={t("name")} sentence={sentence}>
      {(joined) => (
        <input
          {...joined}
          type="text"
          autoComplete="off"
          value={typed ?? name}
          onChange={(event) => setTyped(event.target.value)}
          onBlur={leave}
        />
      )}
    </Field>
  );
}
