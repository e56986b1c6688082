import { useId } from "react";
import type { components } from "../../api/types";
import { language } from "../../i18n";
import { useSay } from "../../i18n/say";
import { Told } from "../../shell/Told";
import type { Complication } from "./records";

export type GradeRule = components["schemas"]["GradeRule"];

type GradeChoiceProps = {
  rules: readonly GradeRule[];
  value: Complication["grade"] | null;
  onChoose: (grade: Complication["grade"]) => void;
};

/** One grade, with what counts as it beside: in general, and in this unit. */
export function GradeChoice({ rules, value, onChoose }: GradeChoiceProps) {
  const t = useSay("healing");
  const name = useId();
  const sources = [...new Set(rules.flatMap((rule) => [rule.basis.source, rule.here_source]))];
  return (
    <fieldset className="grades">
      <legend>{t("complication.grade")}</legend>
      {rules.map((rule) => (
        <label key={rule.grade} className="grade">
          <input
            type="radio"
            name={name}
            value={rule.grade}
            checked={value === rule.grade}
            onChange={() => onChoose(rule.grade)}
          />
          <span>
            <b>{rule.grade}</b> {words(rule.means_english, rule.means_german)}{" "}
            <span className="small">
              {t("complication.here", { rule: words(rule.here_english, rule.here_german) })}
            </span>
          </span>
        </label>
      ))}
      <p className="small">
        {t("complication.source")} <Told>{`${sources.join("; ")}.`}</Told>
      </p>
    </fieldset>
  );
}

function words(english: string, german: string): string {
  return language() === "de" ? german : english;
}
