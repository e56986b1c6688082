import { useState } from "react";
import type { Plan } from "../../api/records";
import { useSay } from "../../i18n/say";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Hole } from "./Hole";
import type { PartProps } from "./index";
import { NewPlans } from "./NewPlans";
import { Running } from "./Running";
import { type Replan, useReplan } from "./useReplan";

type HolePartProps = PartProps & { cut: Plan };

/** The hole, the plans made for it, and the way from one to the other. */
export function HolePart(props: HolePartProps) {
  const { start, operation, made } = props;
  const [letter, setLetter] = useState<string | null>(null);
  const replan = useReplan(props, () => setLetter("A"));
  const taken = made && operation?.plan_code === made.code ? operation.plan : null;
  const shown = made?.plans.find((plan) => plan.id === (letter ?? taken)) ?? null;
  const current = start.old ? null : shown;
  return (
    <>
      <Hole {...props} drawn={current} />
      <Running replan={replan} />
      {made ? (
        <NewPlans
          plans={made.plans}
          chosen={shown?.id ?? null}
          taken={taken}
          isOld={start.old}
          onChoose={setLetter}
        />
      ) : null}
      <NextButton {...props} replan={replan} shown={current} taken={taken} />
    </>
  );
}

type NextButtonProps = HolePartProps & {
  replan: Replan;
  /** The new plan that is looked at, if it is for the hole as it is entered now. */
  shown: Plan | null;
  taken: string | null;
};

/** Measure, plan, take, go on: one after the other. */
function NextButton({ start, operation, made, record, onPart, ...rest }: NextButtonProps) {
  const { replan, shown, taken } = rest;
  const t = useSay("theatre");
  if (!operation?.measured.length) {
    const begin = () => record(t("hole.begin"), (op) => ({ ...op, measured: start.corners }));
    return <PrimaryButton onPress={begin}>{t("hole.begin")}</PrimaryButton>;
  }
  if (!shown || !made) {
    const off = replan.running?.what === "plans" ? t("plans.running") : null;
    return (
      <PrimaryButton off={off} onPress={replan.start}>
        {t("plans.go")}
      </PrimaryButton>
    );
  }
  if (shown.id === taken) {
    return <PrimaryButton onPress={() => onPart("steps")}>{t("plans.on")}</PrimaryButton>;
  }
  const take = t("plans.take", { plan: shown.id });
  const plan = { plan: shown.id, plan_code: made.code };
  return (
    <PrimaryButton onPress={() => record(take, (op) => ({ ...op, ...plan }))}>{take}</PrimaryButton>
  );
}
