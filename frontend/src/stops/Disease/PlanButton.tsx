import { useRun } from "../../api/useRun";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { RunButton } from "../../shell/RunButton";
import type { StopProps } from "../contract";

type PlanButtonProps = StopProps & {
  /** How many things are still missing before a plan. */
  missing: number;
};

/** Plan the case as entered; after its operation the way on, since what was done stays. */
export function PlanButton(props: PlanButtonProps) {
  const t = useSay("disease");
  if (!isOperated(props)) return <Plan {...props} />;
  return (
    <PrimaryButton leadsOn onPress={() => props.goTo("theatre")}>
      {t("to_theatre")}
    </PrimaryButton>
  );
}

/** An operation followed the plans of this case: no others are made. */
export function isOperated({ entered, revision }: Pick<StopProps, "entered" | "revision">) {
  return entered.operation !== null && revision.dossier.plans !== null;
}

/** What stands where else it says what is missing before a plan. */
export function Operated() {
  const t = useSay("disease");
  return (
    <Note title={t("operated_title")}>
      <p>{t("operated")}</p>
    </Note>
  );
}

function Plan({ revision, saved, refresh, goTo, missing }: PlanButtonProps) {
  const t = useSay("disease");
  const run = useRun({
    caseId: revision.case_id,
    kind: "plan the case",
    saved,
    refresh,
    goOn: () => goTo("closure"),
  });
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
