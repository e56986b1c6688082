import { useRef } from "react";
import type { Plan, PlanSet } from "../api/records";
import type { Run } from "../api/useRun";
import { useSay } from "../i18n/say";
import { toldText } from "../i18n/told";
import { RunButton } from "../shell/RunButton";
import type { StopProps } from "../stops/contract";
import type { Moving } from "./useMoving";

type KeepButtonProps = Pick<StopProps, "revision" | "entered"> & {
  plans: PlanSet;
  plan: Plan;
  moving: Moving;
  /** Held by who stays when the plans change: this button goes with the plan that was moved. */
  run: Run;
};

/** Keep a moved plan as one of the case's own: its pull is computed, then it stands in the list. */
export function KeepButton({ revision, entered, plans, plan, moving, run }: KeepButtonProps) {
  const t = useSay("moving");
  const saidOfAnother = useRef(run.sentence);
  const sentence = run.sentence === saidOfAnother.current ? "" : run.sentence;
  const through = moving.preview?.cut_through ?? [];
  const parts = through.map(toldText).join(", ");
  const cut = through.length > 0 ? t("cut_through", { parts }) : null;
  const asked = { code: plans.code, moved: { of: plan.id, moves: moving.moves } };
  const keep = () => {
    saidOfAnother.current = "";
    run.start(`/api/cases/${revision.case_id}/plans/own`, asked);
  };
  return (
    <RunButton
      run={{ ...run, sentence }}
      running={t("keeping")}
      failed={t("not_kept")}
      off={entered.operation ? t("operated") : cut}
      onPress={keep}
    >
      {t("keep")}
    </RunButton>
  );
}
