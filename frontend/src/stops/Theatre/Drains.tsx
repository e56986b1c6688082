import { asTyped, type OperationRecord } from "../../api/records";
import { withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";
import type { Recorded } from "./RecordPart";

type Drain = NonNullable<OperationRecord["drains"]>[number];

const LAID = ["none", "laid", "not recorded"] as const;

/** Drains as laid; that none was laid is recorded too. */
export function Drains({ operation, record, refusals }: Recorded) {
  const t = useSay("theatre");
  const word = useSideWord();
  const { drains } = operation;
  const set = (next: Drain[] | null) =>
    record(t("record.drains"), (op) => ({ ...op, drains: next }));
  const laid = drains === null ? "not recorded" : drains.length === 0 ? "none" : "laid";
  const put = (index: number, field: keyof Drain, value: unknown) =>
    record(
      t("record.drains"),
      (op) => withValue(op, ["drains", index, field], value),
      `drain ${index} ${field}`,
    );
  const sides = [LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }));
  return (
    <>
      <Choice
        label={t("drains.what")}
        options={LAID.map((each) => ({ value: each, word: t(`drains.${each}`) }))}
        value={laid}
        onChoose={(next) => set(next === "laid" ? [newDrain(1)] : next === "none" ? [] : null)}
      />
      {drains?.map((drain, index) => (
        <fieldset className="record-row" key={drain.name}>
          <legend>{t("drains.number", { number: drain.name })}</legend>
          <NumberField
            label={t("drains.size")}
            unit="Ch"
            value={drain.size_charriere}
            sentence={said(refusals, ["operation", "drains", index, "size_charriere"])}
            hint={drain.size_charriere === null ? t("drains.no_size") : undefined}
            onType={(text) =>
              put(index, "size_charriere", text.trim() === "" ? null : asTyped(text))
            }
          />
          <Choice
            label={t("drains.side")}
            options={sides}
            value={drain.leaves_on}
            onChoose={(side) => put(index, "leaves_on", side)}
          />
        </fieldset>
      ))}
      {drains && drains.length > 0 ? (
        <button
          type="button"
          className="quiet"
          onClick={() => set([...drains, newDrain(drains.length + 1)])}
        >
          {t("drains.add")}
        </button>
      ) : null}
    </>
  );
}

function newDrain(number: number): Drain {
  return { name: String(number), size_charriere: null, leaves_on: null };
}
