import { useState } from "react";
import { asTyped, type OperationRecord } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { DayField } from "../../shell/DayField";
import { said } from "../../shell/Field";
import { Note } from "../../shell/Note";
import { NumberField } from "../../shell/NumberField";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { useOff } from "../../shell/rights";
import { TextField } from "../../shell/TextField";
import { Deviations } from "./Deviations";
import { Drains } from "./Drains";
import { Layers } from "./Layers";
import { NoteText } from "./NoteText";
import type { InTheatre } from "./operation";
import { Walls } from "./Walls";

const DYE = [
  "not recorded",
  "no dye was used",
  "seen nowhere in the wound",
  "seen in the wound",
] as const;

const HOLE = ["defect_length_mm", "defect_width_mm", "defect_depth_mm"] as const;

const SPECIMEN = [
  "specimen_length_mm",
  "specimen_width_mm",
  "specimen_depth_mm",
  "specimen_weight_g",
] as const;

/** What was found and done, whole; what nobody writes down stays "not recorded". */
export function RecordPart(props: InTheatre) {
  const { operation, record, today, refusals, goTo } = props;
  const t = useSay("theatre");
  if (!operation) {
    return (
      <>
        <p className="say">{t("record.none")}</p>
        <PrimaryButton onPress={() => record(t("record.begin"), (op) => op)}>
          {t("record.begin")}
        </PrimaryButton>
      </>
    );
  }
  const counted = operation.counts_agree !== "not asked";
  return (
    <>
      <div className="record">
        <Note title={t("record.dye")}>
          <Dye {...props} operation={operation} />
        </Note>
        <Note title={t("record.hole")}>
          <Measures {...props} operation={operation} names={HOLE} />
        </Note>
        <Note title={t("record.specimen")}>
          <Measures {...props} operation={operation} names={SPECIMEN} />
        </Note>
        <Note title={t("record.clearances")}>
          <Walls {...props} operation={operation} />
        </Note>
        <Note title={t("record.layers")}>
          <Layers {...props} operation={operation} />
        </Note>
        <Note title={t("record.drains")}>
          <Drains {...props} operation={operation} />
        </Note>
        <Note title={t("record.counts")}>
          <Counts {...props} operation={operation} />
          <Measures {...props} operation={operation} names={["blood_loss_ml"]} />
        </Note>
        <Note title={t("record.deviations")}>
          <Deviations {...props} operation={operation} />
        </Note>
        <Note title={t("record.more")}>
          <DayField
            label={t("record.day")}
            value={operation.operated_on}
            latest={today}
            sentence={said(refusals, ["operation", "operated_on"])}
            onDay={(day) => day && record(t("record.day"), (op) => ({ ...op, operated_on: day }))}
          />
          <TextField
            label={t("record.note")}
            value={operation.note}
            sentence={operation.note.length > 80 ? t("record.too_long") : null}
            hint={t("record.note_hint")}
            onType={(note) => record(t("record.note"), (op) => ({ ...op, note }), "note")}
          />
        </Note>
      </div>
      <NoteText {...props} />
      <Removal {...props} />
      <PrimaryButton off={counted ? null : t("record.no_counts")} onPress={() => goTo("healing")}>
        {t("record.go")}
      </PrimaryButton>
    </>
  );
}

/** What one part of the record works with. */
export type Recorded = InTheatre & { operation: OperationRecord };

function Dye({ operation, record, start }: Recorded) {
  const t = useSay("theatre");
  const options = DYE.map((seen) => ({ value: seen, word: t(`dye.${seen}`) }));
  const toggle = (wall: string) =>
    record(t("record.dye"), (op) => ({
      ...op,
      dye_walls: op.dye_walls.includes(wall)
        ? op.dye_walls.filter((each) => each !== wall)
        : [...op.dye_walls, wall],
    }));
  return (
    <>
      <Choice
        label={t("dye.where")}
        options={options}
        value={operation.dye_seen}
        onChoose={(seen) =>
          record(t("record.dye"), (op) => ({
            ...op,
            dye_seen: seen,
            dye_walls: seen === "seen in the wound" ? op.dye_walls : [],
          }))
        }
      />
      {operation.dye_seen === "seen in the wound" ? (
        <fieldset className="choice">
          <legend>{t("dye.walls")}</legend>
          <div className="choice-options">
            {start.walls.map((wall) => (
              <label key={wall} className="choice-option">
                <input
                  type="checkbox"
                  checked={operation.dye_walls.includes(wall)}
                  onChange={() => toggle(wall)}
                />
                <span>{wall}</span>
              </label>
            ))}
          </div>
        </fieldset>
      ) : null}
    </>
  );
}

type MeasuresProps = Recorded & {
  names: readonly ((typeof HOLE)[number] | (typeof SPECIMEN)[number] | "blood_loss_ml")[];
};

function Measures({ operation, record, refusals, names }: MeasuresProps) {
  const t = useSay("theatre");
  return (
    <div className="record-fields">
      {names.map((name) => (
        <NumberField
          key={name}
          label={t(`measure.${name}`)}
          unit={name.endsWith("_g") ? "g" : name.endsWith("_ml") ? "mL" : "mm"}
          value={operation[name]}
          sentence={said(refusals, ["operation", name])}
          onType={(text) =>
            record(
              t(`measure.${name}`),
              (op) => ({ ...op, [name]: text.trim() === "" ? null : asTyped(text) }),
              name,
            )
          }
        />
      ))}
    </div>
  );
}

/** The way out of a record that was begun by mistake; it asks first. */
function Removal({ edit }: InTheatre) {
  const t = useSay("theatre");
  const off = useOff();
  const [isAsking, setAsking] = useState(false);
  const remove = () => edit(t("record.remove"), (entered) => ({ ...entered, operation: null }));
  if (!isAsking) {
    return (
      <button
        type="button"
        className="quiet"
        disabled={off !== null}
        onClick={() => setAsking(true)}
      >
        {t("record.remove")}
      </button>
    );
  }
  return (
    <p className="step-ask" role="alert">
      {t("record.remove_ask")}
      <button type="button" className="quiet" onClick={remove}>
        {t("record.remove_yes")}
      </button>
      <button type="button" className="quiet" onClick={() => setAsking(false)}>
        {t("record.remove_no")}
      </button>
    </p>
  );
}

const COUNTS = ["yes", "no", "not asked"] as const;

function Counts({ operation, record }: Recorded) {
  const t = useSay("theatre");
  return (
    <>
      <Choice
        label={t("counts.what")}
        options={COUNTS.map((answer) => ({ value: answer, word: t(`counts.${answer}`) }))}
        value={operation.counts_agree}
        onChoose={(counts_agree) => record(t("record.counts"), (op) => ({ ...op, counts_agree }))}
      />
      {operation.counts_agree === "no" ? (
        <p role="alert">
          <b>{t("counts.alarm")}</b>
        </p>
      ) : null}
    </>
  );
}
