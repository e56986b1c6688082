import { useState } from "react";
import { RefusedError, read, write } from "../../api/client";
import { jobDone } from "../../api/jobs";
import type { Job, PlanSet, Revision } from "../../api/records";
import { type Say, useSay } from "../../i18n/say";
import { go } from "../../routes";
import { Choice } from "../../shell/Choice";
import { Empty } from "../../shell/Empty";
import { said } from "../../shell/Field";
import { Fold } from "../../shell/Fold";
import { Note, Notes } from "../../shell/Note";
import { NumberField } from "../../shell/NumberField";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";
import { Tag } from "../../shell/Tag";
import { TextField } from "../../shell/TextField";
import { Told } from "../../shell/Told";
import { allAnswered, SIGNS } from "./entries";
import { PlanRows } from "./PlanRows";
import { Questions } from "./Questions";
import { firstMissing, type Gap, MEASURES, type Measures, PLACES, sketchFrom } from "./sketched";

const NOTHING: Measures = {
  pit_above_mm: "",
  probe_length_mm: "",
  probe_depth_mm: "",
  probe_angle_deg: "",
  cleft_depth_mm: "",
  margin_mm: "",
  side: null,
  signs: allAnswered(SIGNS, "not asked"),
};

/** How far the sketch is, and of which measures. */
type State =
  | { kind: "asking" }
  | { kind: "working"; job: Job | null }
  | { kind: "planned"; plans: PlanSet; of: Measures }
  | { kind: "refused"; fault: Error; of: Measures };

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
      .then((plans) => setState({ kind: "planned", plans, of: measures }))
      .catch((fault: Error) => setState({ kind: "refused", fault, of: measures }));
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
        <Answered state={state} measures={measures} />
        <Notes>
          <MeasureFields measures={measures} onMeasure={setMeasures} state={state} />
          {state.kind === "planned" ? <Keep measures={state.of} today={today} /> : null}
        </Notes>
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
  const sides = [LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }));
  return (
    <Note title={t("sketch.measures")}>
      <div className="sketch-fields">
        {MEASURES.map((name) => (
          <NumberField
            key={name}
            label={t(`sketch.${name}`)}
            unit={name.endsWith("deg") ? "°" : "mm"}
            value={measures[name]}
            sentence={sentenceOn(name, measures, state)}
            onType={(text) => onMeasure({ ...measures, [name]: text })}
          />
        ))}
      </div>
      <Choice
        label={t("sketch.side")}
        options={sides}
        value={measures.side}
        onChoose={(side) => onMeasure({ ...measures, side })}
      />
      <Signs signs={measures.signs} onSigns={(signs) => onMeasure({ ...measures, signs })} />
    </Note>
  );
}

/** The server's sentence on a measure, as long as it says what was refused. */
function sentenceOn(name: (typeof MEASURES)[number], measures: Measures, state: State) {
  if (state.kind !== "refused" || !(state.fault instanceof RefusedError)) return null;
  return measures[name] === state.of[name] ? said(state.fault.refusals, PLACES[name]) : null;
}

type SignsProps = { signs: Measures["signs"]; onSigns: (signs: Measures["signs"]) => void };

/** The five acute signs in one line; each can be answered by itself. */
function Signs({ signs, onSigns }: SignsProps) {
  const t = useSay("cases");
  const word = (sign: string) => t(`shell:acute.${sign}`);
  const open = SIGNS.filter((sign) => signs[sign] === "not asked");
  const present = SIGNS.filter((sign) => signs[sign] === "yes");
  const named = present.length > 0 ? present : open;
  const key = present.length > 0 ? "signs_present" : open.length > 0 ? "signs_open" : "signs_none";
  return (
    <div className="sketch-signs">
      <p>{t(`sketch.${key}`, { signs: named.map(word).join(", ") })}</p>
      <button type="button" className="outlined" onClick={() => onSigns(allAnswered(SIGNS, "no"))}>
        {t("sketch.none_of_these")}
      </button>
      <Fold title={t("sketch.one_by_one")}>
        <Questions words="shell:acute" names={SIGNS} answers={signs} onAnswer={onSigns} />
      </Fold>
    </div>
  );
}

/** The way from a sketch to a case that is kept. */
function Keep({ measures, today }: { measures: Measures; today: string }) {
  const t = useSay("cases");
  const [label, setLabel] = useState("");
  const [sentence, setSentence] = useState<string | null>(null);
  const keep = () => {
    const body = sketchFrom(measures, today, label.trim());
    write<Revision>({ method: "POST", path: "/api/cases", body })
      .then((made) => go({ at: "case", caseId: made.case_id, stop: "disease" }))
      .catch((fault: Error) => setSentence(fault.message));
  };
  return (
    <Note title={t("sketch.keep_title")}>
      <TextField
        label={t("new.label")}
        value={label}
        sentence={sentence === null ? null : <Told>{sentence}</Told>}
        hint={t("new.label_rule")}
        onType={setLabel}
      />
      <button type="button" className="quiet" disabled={label.trim() === ""} onClick={keep}>
        {t("sketch.keep")}
      </button>
    </Note>
  );
}

function Answered({ state, measures }: { state: State; measures: Measures }) {
  const t = useSay("cases");
  if (state.kind === "planned") {
    return (
      <div>
        {state.of === measures ? null : (
          <p>
            <Tag kind="old">{t("sketch.old")}</Tag>
          </p>
        )}
        <PlanRows plans={state.plans} />
      </div>
    );
  }
  if (state.kind === "working")
    return <Empty>{state.job?.step ? <Told>{state.job.step}</Told> : t("sketch.working")}</Empty>;
  if (state.kind === "asking") return <Empty>{t("sketch.empty")}</Empty>;
  const isOfField = state.fault instanceof RefusedError && state.fault.refusals.length > 0;
  return (
    <Empty>
      <span role="alert">
        {isOfField ? t("sketch.field_refused") : <Told>{state.fault.message}</Told>}
      </span>
    </Empty>
  );
}

function offBecause(missing: Gap | null, state: State, t: Say): string | null {
  if (missing) return t("sketch.missing", { what: t(`sketch.${missing}`) });
  return state.kind === "working" ? t("sketch.working") : null;
}
