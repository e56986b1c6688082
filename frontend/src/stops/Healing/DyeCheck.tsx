import { useState } from "react";
import { asTyped, type Case } from "../../api/records";
import type { components } from "../../api/types";
import { number } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { CheckOutcome } from "./CheckOutcome";
import { useCheck } from "./useCheck";

type Found = components["schemas"]["DyeCheck"];
type Dye = components["schemas"]["Dye"];

const DYES: readonly Dye[] = ["methylene blue", "patent blue V", "isosulfan blue"];

/** A dye held against weight, drugs and conditions. */
export function DyeCheck({ entered }: { entered: Case }) {
  const t = useSay("healing");
  const [dye, setDye] = useState<Dye>("methylene blue");
  const [typed, setTyped] = useState({ volume: "", strength: "", weight: null as string | null });
  const { answer, refusals, sentence, ask, forget } = useCheck<Found>("/api/checks/dye");
  const put = (some: Partial<typeof typed>) => {
    forget();
    setTyped({ ...typed, ...some });
  };
  const weight = typed.weight ?? entered.patient.weight_kg;
  const check = () =>
    ask({
      dye,
      volume_ml: asTyped(typed.volume),
      concentration_percent: asTyped(typed.strength),
      weight_kg: weight === "" ? null : weight,
      findings: entered.findings,
    });
  return (
    <div className="check-fields">
      <Choice
        label={t("check.which_dye")}
        options={DYES.map((each) => ({ value: each, word: t(`dye.${each}`) }))}
        value={dye}
        onChoose={(next) => {
          forget();
          setDye(next);
        }}
      />
      <div className="check-amount">
        <NumberField
          label={t("check.volume")}
          unit={t("unit.ml")}
          value={typed.volume}
          sentence={said(refusals, ["volume_ml"])}
          onType={(volume) => put({ volume })}
        />
        <NumberField
          label={t("check.strength")}
          unit="%"
          value={typed.strength}
          sentence={said(refusals, ["concentration_percent"])}
          onType={(strength) => put({ strength })}
        />
      </div>
      <NumberField
        label={t("check.weight")}
        unit="kg"
        value={weight}
        sentence={said(refusals, ["weight_kg"])}
        onType={(text) => put({ weight: text })}
      />
      <button type="button" className="outlined" onClick={check}>
        {t("check.go")}
      </button>
      <CheckOutcome sentence={sentence} flags={answer?.flags}>
        {answer ? t("check.dose", { dose: number(answer.dose_ratio, 2) }) : null}
      </CheckOutcome>
    </div>
  );
}
