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
  const { entered, revision } = props;
  const isOperated = entered.operation !== null && revision.dossier.plans !== null;
  return isOperated ? <Operated {...props} /> : <Plan {...props} />;
}

function Operated({ goTo }: PlanButtonProps) {
  const t = useSay("disease");
  return (
    <>
      <Note title={t("operated_title")}>
        <p>{t("operated")}</p>
      </Note>
      <PrimaryButton leadsOn onPress={() => goTo("theatre")}>
        {t("to_theatre")}
      </PrimaryButton>
    </>
  );
}

function Plan({ revision, saved, refresh, goTo, missing }: PlanButtonProps) {
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
