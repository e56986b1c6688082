import { useState } from "react";
import { RefusedError, read } from "../../api/client";
import { jobDone } from "../../api/jobs";
import type { Job, PlanSet } from "../../api/records";
import { type Say, useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Empty } from "../../shell/Empty";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";
import { PlanRows } from "./PlanRows";
import { firstMissing, MEASURES, type Measures, PLACES, sketchFrom } from "./sketched";

const NOTHING: Measures = {
  pit_above_mm: "",
  probe_length_mm: "",
  probe_depth_mm: "",
  probe_angle_deg: "",
  cleft_depth_mm: "",
  margin_mm: "",
  side: LEFT,
};

type State =
  | { kind: "asking" }
  | { kind: "working"; job: Job | null }
  | { kind: "planned"; plans: PlanSet }
  | { kind: "refused"; fault: Error };

type SketchProps = { today: string; onBack: () => void };

/** A plan without a record: measures in, closures out, nothing is kept. */
export function Sketch({ today, onBack }: SketchProps) {
  const t = useSay("cases");
  const [measures, setMeasures] = useState(NOTHING);
  const [state, setState] = useState<State>({ kind: "asking" });
  const missing = firstMissing(measures);
  const plan = () => {
    setState({ kind: "working", job: null });
    sketched(measures, today, (job) => setState({ kind: "working", job }))
      .then((plans) => setState({ kind: "planned", plans }))
      .catch((fault: Error) => setState({ kind: "refused", fault }));
  };
  return (
    <>
      <div className="sheet-head">
        <button type="button" className="quiet" onClick={onBack}>
          {t("back")}
        </button>
        <h1>{t("sketch.title")}</h1>
        <p className="small">{t("sketch.rule")}</p>
      </div>
      <div className="drawing-and-notes">
        <Answered state={state} />
        <MeasureFields measures={measures} onMeasure={setMeasures} state={state} />
      </div>
      <PrimaryButton onPress={plan} off={offBecause(missing, state, t)}>
        {t("sketch.go")}
      </PrimaryButton>
    </>
  );
}

/** Ask for the plans and wait for them. */
async function sketched(
  measures: Measures,
  today: string,
  tell: (job: Job) => void,
): Promise<PlanSet> {
  const job = await jobDone("/api/sketch", sketchFrom(measures, today), tell);
  if (job.state !== "done") throw new Error(job.reason || job.state);
  return read<PlanSet>(`/api/sketch/${job.job_id}`);
}

type MeasureFieldsProps = {
  measures: Measures;
  onMeasure: (measures: Measures) => void;
  state: State;
};

function MeasureFields({ measures, onMeasure, state }: MeasureFieldsProps) {
  const t = useSay("cases");
  const word = useSideWord();
  const refused =
    state.kind === "refused" && state.fault instanceof RefusedError ? state.fault.refusals : [];
  const sides = [LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }));
  return (
    <div className="sketch-fields">
      {MEASURES.map((name) => (
        <NumberField
          key={name}
          label={t(`sketch.${name}`)}
          unit={name.endsWith("deg") ? "°" : "mm"}
          value={measures[name]}
          sentence={said(refused, PLACES[name])}
          onType={(text) => onMeasure({ ...measures, [name]: text })}
        />
      ))}
      <Choice
        label={t("sketch.side")}
        options={sides}
        value={measures.side}
        onChoose={(side) => onMeasure({ ...measures, side })}
      />
    </div>
  );
}

function Answered({ state }: { state: State }) {
  const t = useSay("cases");
  if (state.kind === "planned") return <PlanRows plans={state.plans} />;
  if (state.kind === "refused") return <Empty>{state.fault.message}</Empty>;
  if (state.kind === "working") return <Empty>{state.job?.step || t("sketch.working")}</Empty>;
  return <Empty>{t("sketch.empty")}</Empty>;
}

function offBecause(missing: string | null, state: State, t: Say): string | null {
  if (missing) return t("sketch.missing", { what: t(`sketch.${missing}`) });
  return state.kind === "working" ? t("sketch.working") : null;
}
