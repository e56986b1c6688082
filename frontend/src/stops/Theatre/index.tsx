import { useState } from "react";
import { useOfCase, usePlans, useTheatrePlans } from "../../api/queries";
import type { PlanSet, TheatreStart } from "../../api/records";
import { useSay } from "../../i18n/say";
import { NoPlans } from "../../shell/NoPlans";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { takenInTheatre } from "../../shell/taken";
import type { StopProps } from "../contract";
import { Before } from "./Before";
import { HolePart } from "./HolePart";
import { type InTheatre, inTheatre, stamped } from "./operation";
import { PullNote } from "./PullNote";
import { RecordPart } from "./RecordPart";
import { nextStep, Steps, useStepWords } from "./Steps";
import { type Pull, usePull } from "./usePull";
import { type Replan, useReplan } from "./useReplan";
import "./Theatre.css";

const PARTS = ["before", "steps", "hole", "record"] as const;

type Part = (typeof PARTS)[number];

/** What is ready, what is done step by step, the hole as it really is, and the record of it all. */
export function Theatre(props: StopProps) {
  const t = useSay("theatre");
  const { revision, entered } = props;
  const { plans: stored, theatre } = revision.dossier;
  const { data: plans, error: unread } = usePlans(revision);
  const { data: start, error } = useOfCase<TheatreStart>(
    revision.case_id,
    "theatre",
    stored !== null,
  );
  const made = useTheatrePlans(revision).data ?? null;
  const pull = usePull(props, theatre ? made : null);
  const [looked, setLooked] = useState<string | null>(null);
  const replan = useReplan(props, () => {
    setLooked("A");
    pull.ask();
  });
  const [part, setPart] = useState<Part>(entered.operation ? "steps" : "before");
  if (!stored || !plans || !start) {
    return (
      <NoPlans {...props} error={unread ?? error}>
        {t("nothing_yet")}
      </NoPlans>
    );
  }
  const taken = takenInTheatre({ ...revision.dossier, case: entered });
  const parts = { plans, made: theatre ? made : null, taken, looked, onLook: setLooked };
  return (
    <>
      <Parts part={part} onPart={setPart} />
      {taken && part !== "hole" ? <PullNote pull={pull} /> : null}
      <OnePart
        {...inTheatre(props, start)}
        {...parts}
        replan={replan}
        pull={pull}
        part={part}
        onPart={setPart}
      />
    </>
  );
}

function Parts({ part, onPart }: { part: Part; onPart: (part: Part) => void }) {
  const t = useSay("theatre");
  return (
    <div className="theatre-head">
      <h1>{t(`${part}.title`)}</h1>
      <fieldset className="theatre-parts">
        <legend className="unseen">{t("parts")}</legend>
        {PARTS.map((name) => (
          <button
            key={name}
            type="button"
            className="outlined"
            aria-pressed={name === part}
            onClick={() => onPart(name)}
          >
            {t(`${name}.name`)}
          </button>
        ))}
      </fieldset>
    </div>
  );
}

export type PartProps = InTheatre & {
  plans: PlanSet;
  /** The plans that were made in theatre, if any. */
  made: PlanSet | null;
  /** Letter of the one that was taken, or nothing. */
  taken: string | null;
  /** Letter of the one that is looked at, if one was chosen for it. */
  looked: string | null;
  onLook: (letter: string) => void;
  replan: Replan;
  pull: Pull;
  part: Part;
  onPart: (part: Part) => void;
};

function OnePart(props: PartProps) {
  const { plans, start, part, onPart } = props;
  const t = useSay("theatre");
  const cut = plans.plans.find((plan) => plan.id === start.plan) ?? plans.plans[0];
  if (!cut) return null;
  if (part === "before") {
    return (
      <>
        <Before {...props} cut={cut} />
        <PrimaryButton onPress={() => onPart("steps")}>{t("before.go")}</PrimaryButton>
      </>
    );
  }
  if (part === "steps") return <StepsPart {...props} />;
  if (part === "hole") return <HolePart {...props} cut={cut} />;
  return <RecordPart {...props} />;
}

/** The steps; the one button stamps the next of them. */
function StepsPart(props: PartProps) {
  const { start, record, onPart } = props;
  const t = useSay("theatre");
  const words = useStepWords(start.steps);
  const next = nextStep(props);
  const stamp = (step: string) =>
    record(t("steps.stamp", { step: words(step) }), (op) => stamped(op, step));
  return (
    <>
      <Steps {...props} />
      <PrimaryButton onPress={() => (next ? stamp(next) : onPart("record"))}>
        {next ? t("steps.next", { step: words(next) }) : t("steps.to_record")}
      </PrimaryButton>
    </>
  );
}
