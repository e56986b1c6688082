import type { OperationRecord } from "../../api/records";
import { withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { TextField } from "../../shell/TextField";
import type { Recorded } from "./RecordPart";

type Deviation = NonNullable<OperationRecord["deviations"]>[number];

const HOW = ["none", "some", "not recorded"] as const;
const NEW: Deviation = { what: "", why: "" };
const LONGEST = 80;

/** What was done otherwise than planned, and why; that nothing was is recorded too. */
export function Deviations({ operation, record }: Recorded) {
  const t = useSay("theatre");
  const { deviations } = operation;
  const set = (next: Deviation[] | null) =>
    record(t("record.deviations"), (op) => ({ ...op, deviations: next }));
  const how = deviations === null ? "not recorded" : deviations.length === 0 ? "none" : "some";
  return (
    <>
      <Choice
        label={t("deviations.how")}
        options={HOW.map((each) => ({ value: each, word: t(`deviations.${each}`) }))}
        value={how}
        onChoose={(next) => set(next === "some" ? [NEW] : next === "none" ? [] : null)}
      />
      {deviations?.map((deviation, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: deviations have no name
        <fieldset className="record-row" key={index}>
          <legend>{t("deviations.number", { number: index + 1 })}</legend>
          {(["what", "why"] as const).map((field) => (
            <TextField
              key={field}
              label={t(`deviations.${field}`)}
              value={deviation[field]}
              sentence={deviation[field].length > LONGEST ? t("record.too_long") : null}
              onType={(text) =>
                record(
                  t("record.deviations"),
                  (op) => withValue(op, ["deviations", index, field], text),
                  `deviation ${index} ${field}`,
                )
              }
            />
          ))}
        </fieldset>
      ))}
      {deviations && deviations.length > 0 ? (
        <button type="button" className="quiet" onClick={() => set([...deviations, NEW])}>
          {t("deviations.add")}
        </button>
      ) : null}
    </>
  );
}
