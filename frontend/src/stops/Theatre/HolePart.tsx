import { useState } from "react";
import type { MeasuredCorner, OperationRecord, Plan } from "../../api/records";
import { useSay } from "../../i18n/say";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Hole } from "./Hole";
import type { PartProps } from "./index";
import { NewPlans } from "./NewPlans";
import { withCorner } from "./operation";
import { PullNote } from "./PullNote";
import { Running } from "./Running";

type HolePartProps = PartProps & { cut: Plan };

/** The hole, the plans made for it, and the way from one to the other. */
export function HolePart(props: HolePartProps) {
  const { start, operation, made, taken, looked, onLook } = props;
  const [corner, setCorner] = useState(start.corners[0]?.name ?? "");
  const [isSizeChosen, chooseSize] = useState(() => hasSize(operation));
  const bySize = isSizeChosen && (operation?.measured ?? []).length === 0;
  const shown = made?.plans.find((plan) => plan.id === (looked ?? taken)) ?? null;
  const current = start.old ? null : shown;
  return (
    <>
      <Hole
        {...props}
        drawn={current}
        letter={corner}
        onLetter={setCorner}
        bySize={bySize}
        onBySize={chooseSize}
      />
      <Running replan={props.replan} />
      <PullNote pull={props.pull} />
      {made ? (
        <NewPlans
          plans={made.plans}
          cut={props.cut}
          chosen={shown?.id ?? null}
          taken={taken}
          isOld={start.old}
          onChoose={onLook}
        />
      ) : null}
      <NextButton {...props} shown={current} corner={corner} onCorner={setCorner} bySize={bySize} />
    </>
  );
}

type NextButtonProps = HolePartProps & {
  /** The new plan that is looked at, if it is for the hole as it is entered now. */
  shown: Plan | null;
  corner: string;
  onCorner: (corner: string) => void;
  bySize: boolean;
};

/** Length and width are there, as numbers. */
function hasSize(operation: OperationRecord | null): boolean {
  return (
    typeof operation?.hole_length_mm === "number" && typeof operation.hole_width_mm === "number"
  );
}

/** Measure, plan, take, go on: one after the other. */
function NextButton(props: NextButtonProps) {
  const { start, operation, made, record, onPart, replan, shown, taken, bySize } = props;
  const t = useSay("theatre");
  const open = start.corners.filter(
    (each) => !operation?.measured.some((own) => own.name === each.name),
  );
  if (!bySize && open.length > 0) return <CornerButton {...props} open={open} />;
  if (!shown || !made) {
    const missing = bySize && !hasSize(operation) ? t("hole.size_missing") : null;
    const off = replan.job ? t("plans.running") : missing;
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

type CornerButtonProps = NextButtonProps & { open: readonly MeasuredCorner[] };

/** Say that a corner is as planned, or go on to the next that is not measured. */
function CornerButton({ open, corner, onCorner, record }: CornerButtonProps) {
  const t = useSay("theatre");
  const planned = open.find((each) => each.name === corner);
  const next = open.find((each) => each.name !== corner)?.name ?? corner;
  const goOn = () => onCorner(next);
  if (!planned) {
    return <PrimaryButton onPress={goOn}>{t("hole.next", { corner: next })}</PrimaryButton>;
  }
  const confirm = () => {
    record(t("hole.change", { corner }), (op) => withCorner(op, planned));
    goOn();
  };
  return <PrimaryButton onPress={confirm}>{t("hole.confirm", { corner })}</PrimaryButton>;
}
