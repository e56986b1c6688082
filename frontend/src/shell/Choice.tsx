import { type ReactNode, useId } from "react";
import type { Answer } from "../api/records";
import { useSay } from "../i18n/say";
import { useOff } from "./rights";
import "./Choice.css";

type Option<T extends string> = { value: T; word: ReactNode };

type ChoiceProps<T extends string> = {
  label: ReactNode;
  options: readonly Option<T>[];
  value: T | null;
  sentence?: ReactNode;
  disabled?: boolean;
  onChoose: (value: T) => void;
};

/** One of a few, all of them seen. */
export function Choice<T extends string>(props: ChoiceProps<T>) {
  const { label, options, value, sentence = null, disabled = false, onChoose } = props;
  const name = useId();
  return (
    <fieldset className={sentence === null ? "choice" : "choice field-bad"} disabled={disabled}>
      <legend>{label}</legend>
      <div className="choice-options">
        {options.map((option) => (
          <label key={option.value} className="choice-option">
            <input
              type="radio"
              name={name}
              value={option.value}
              checked={value === option.value}
              onChange={() => onChoose(option.value)}
            />
            <span>{option.word}</span>
          </label>
        ))}
      </div>
      {sentence === null ? null : <span className="field-said">{sentence}</span>}
    </fieldset>
  );
}

type AnswerChoiceProps = { label: ReactNode; value: Answer; onChoose: (value: Answer) => void };

const ANSWERS: readonly Answer[] = ["no", "yes", "not asked"];

/** Yes, no, or not asked: a question that was not asked stays open. */
export function AnswerChoice({ label, value, onChoose }: AnswerChoiceProps) {
  const t = useSay();
  const off = useOff();
  const options = ANSWERS.map((answer) => ({ value: answer, word: t(`answer.${answer}`) }));
  return (
    <Choice
      label={label}
      options={options}
      value={value}
      disabled={off !== null}
      onChoose={onChoose}
    />
  );
}
