import { useRun } from "../../api/useRun";
import { useSay } from "../../i18n/say";
import { RunButton } from "../../shell/RunButton";
import type { StopProps } from "../contract";

type PlanButtonProps = StopProps & {
  /** How many things are still missing before a plan. */
  missing: number;
};

/** Plan the case as entered. */
export function PlanButton({ revision, saved, refresh, goTo, missing }: PlanButtonProps) {
  const t = useSay("disease");
  const done = async () => {
    await refresh();
    goTo("closure");
  };
  const run = useRun({ saved, done });
  return (
    <RunButton
      run={run}
      running={t("running")}
      failed={t("not_planned")}
      off={missing > 0 ? t("missing_count", { count: missing }) : null}
      onPress={() => run.start(`/api/cases/${revision.case_id}/plans`, {})}
    >
      {t(revision.dossier.plans ? "plan_again" : "plan")}
    </RunButton>
  );
}
