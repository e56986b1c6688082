import type { Plan, PlanSet } from "../api/records";
import { useRun } from "../api/useRun";
import { useSay } from "../i18n/say";
import { toldText } from "../i18n/told";
import { RunButton } from "../shell/RunButton";
import type { StopProps } from "../stops/contract";
import type { Moving } from "./useMoving";

type KeepButtonProps = Pick<StopProps, "revision" | "entered" | "saved" | "refresh"> & {
  plans: PlanSet;
  plan: Plan;
  moving: Moving;
  /** It is a plan now, the last of the list. */
  onKept: () => void;
};

/** Keep a moved plan as one of the case's own: its pull is computed, then it stands in the list. */
export function KeepButton(props: KeepButtonProps) {
  const { revision, entered, saved, refresh, plans, plan, moving, onKept } = props;
  const t = useSay("moving");
  const run = useRun({
    caseId: revision.case_id,
    kind: "close the moved plan",
    saved,
    refresh,
    goOn: onKept,
  });
  const through = moving.preview?.cut_through ?? [];
  const parts = through.map(toldText).join(", ");
  const cut = through.length > 0 ? t("cut_through", { parts }) : null;
  const asked = { code: plans.code, moved: { of: plan.id, moves: moving.moves } };
  return (
    <RunButton
      run={run}
      running={t("keeping")}
      failed={t("not_kept")}
      off={entered.operation ? t("operated") : cut}
      onPress={() => run.start(`/api/cases/${revision.case_id}/plans/own`, asked)}
    >
      {t("keep")}
    </RunButton>
  );
}
