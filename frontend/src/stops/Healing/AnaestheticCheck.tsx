import { useState } from "react";
import { type Answer, asTyped, type Case } from "../../api/records";
import type { components } from "../../api/types";
import { useSay } from "../../i18n/say";
import { AnswerChoice, Choice } from "../../shell/Choice";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { Tag } from "../../shell/Tag";
import { CheckOutcome } from "./CheckOutcome";
import { useCheck } from "./useCheck";

type Found = components["schemas"]["AnaestheticCheck"];
type Drug = components["schemas"]["LocalAnaesthetic"];

const DRUGS: readonly Drug[] = ["lidocaine", "bupivacaine", "levobupivacaine", "ropivacaine"];

type Solution = { drug: Drug; volume: string; strength: string; adrenaline: Answer };

const FRESH: Solution = { drug: "lidocaine", volume: "", strength: "", adrenaline: "not asked" };

/** All solutions that are to be given together, held against their ceilings. */
export function AnaestheticCheck({ entered }: { entered: Case }) {
  const t = useSay("healing");
  const [solutions, setSolutions] = useState([FRESH]);
  const [weight, setWeight] = useState<string | null>(null);
  const { answer, refusals, sentence, ask, forget } = useCheck<Found>("/api/checks/anaesthetic");
  const put = (index: number, some: Partial<Solution>) => {
    forget();
    setSolutions(solutions.map((each, i) => (i === index ? { ...each, ...some } : each)));
  };
  const shownWeight = weight ?? entered.patient.weight_kg;
  const check = () =>
    ask({
      solutions: solutions.map((each) => ({
        drug: each.drug,
        volume_ml: asTyped(each.volume),
        concentration_percent: asTyped(each.strength),
        adrenaline: each.adrenaline,
      })),
      weight_kg: shownWeight === "" ? null : shownWeight,
      findings: entered.findings,
      frail_heart_or_liver: entered.preparation.frail_heart_or_liver,
    });
  return (
    <div className="check-fields">
      {solutions.map((each, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: solutions have no other name
        <fieldset key={index} className="check-solution">
          <legend>{t("check.solution", { number: index + 1 })}</legend>
          <Choice
            label={t("check.drug")}
            options={DRUGS.map((drug) => ({ value: drug, word: t(`drug.${drug}`) }))}
            value={each.drug}
            onChoose={(drug) => put(index, { drug })}
          />
          <div className="check-amount">
            <NumberField
              label={t("check.volume")}
              unit={t("unit.ml")}
              value={each.volume}
              sentence={said(refusals, ["solutions", index, "volume_ml"])}
              onType={(volume) => put(index, { volume })}
            />
            <NumberField
              label={t("check.strength")}
              unit="%"
              value={each.strength}
              sentence={said(refusals, ["solutions", index, "concentration_percent"])}
              onType={(strength) => put(index, { strength })}
            />
          </div>
          <AnswerChoice
            label={t("check.adrenaline")}
            value={each.adrenaline}
            onChoose={(adrenaline) => put(index, { adrenaline })}
          />
        </fieldset>
      ))}
      <button type="button" className="quiet" onClick={() => setSolutions([...solutions, FRESH])}>
        {t("check.another")}
      </button>
      <NumberField
        label={t("check.weight")}
        unit="kg"
        value={shownWeight}
        sentence={said(refusals, ["weight_kg"])}
        onType={(text) => {
          forget();
          setWeight(text);
        }}
      />
      <button type="button" className="outlined" onClick={check}>
        {t("check.go")}
      </button>
      <CheckOutcome sentence={sentence} flags={answer?.flags}>
        {answer ? <Share found={answer} /> : null}
      </CheckOutcome>
    </div>
  );
}

/** How much of what is customary at most; beyond it, with a sign. */
function Share({ found }: { found: Found }) {
  const t = useSay("healing");
  return (
    <>
      {found.within ? null : <Tag kind="stop" />}{" "}
      {t(found.within ? "check.within" : "check.beyond", { of_100: found.sum_of_100 ?? 0 })}
    </>
  );
}
