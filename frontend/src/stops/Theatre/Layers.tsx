import { asTyped, type OperationRecord } from "../../api/records";
import { withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import { TextField } from "../../shell/TextField";
import { Told } from "../../shell/Told";
import type { Recorded } from "./RecordPart";

type Layer = NonNullable<OperationRecord["layers"]>[number];

const WORDS = ["name", "material", "size"] as const;

const NEW: Layer = { name: "", material: "", size: "", stitches: null };

/** Layers as sewn. What the plan computed is shown, and recorded only when it is said to be so. */
export function Layers({ start, operation, record, refusals }: Recorded) {
  const t = useSay("theatre");
  const { layers } = operation;
  const set = (next: Layer[] | null) =>
    record(t("record.layers"), (op) => ({ ...op, layers: next }));
  if (layers === null) {
    return (
      <>
        {start.layers.length > 0 ? <p>{t("layers.suggested")}</p> : null}
        <ol className="suggested">
          {start.layers.map((layer) => (
            <li key={layer.name}>
              <Told>{layer.name}</Told>: <Told>{layer.material}</Told> {layer.size}
              {layer.stitches === null ? "" : `, ${t("layers.sewn", { count: layer.stitches })}`}
            </li>
          ))}
        </ol>
        {start.layers.length > 0 ? (
          <button type="button" className="outlined" onClick={() => set([...start.layers])}>
            {t("layers.confirm")}
          </button>
        ) : null}
        <button type="button" className="quiet" onClick={() => set([NEW])}>
          {t("layers.other")}
        </button>
      </>
    );
  }
  return (
    <>
      {layers.map((layer, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: layers have no name of their own yet
        <fieldset className="record-row" key={index}>
          <legend>{t("layers.number", { number: index + 1 })}</legend>
          {WORDS.map((field) => (
            <TextField
              key={field}
              label={t(`layers.${field}`)}
              value={layer[field]}
              onType={(text) =>
                record(
                  t("record.layers"),
                  (op) => withValue(op, ["layers", index, field], text),
                  `layer ${index} ${field}`,
                )
              }
            />
          ))}
          <NumberField
            label={t("layers.stitches")}
            value={layer.stitches}
            sentence={said(refusals, ["operation", "layers", index, "stitches"])}
            onType={(text) =>
              record(
                t("record.layers"),
                (op) =>
                  withValue(
                    op,
                    ["layers", index, "stitches"],
                    text.trim() === "" ? null : asTyped(text),
                  ),
                `layer ${index} stitches`,
              )
            }
          />
          <button
            type="button"
            className="quiet"
            onClick={() => set(layers.length > 1 ? layers.filter((_, n) => n !== index) : null)}
          >
            {t("layers.drop", { number: index + 1 })}
          </button>
        </fieldset>
      ))}
      <button type="button" className="quiet" onClick={() => set([...layers, NEW])}>
        {t("layers.add")}
      </button>
    </>
  );
}
