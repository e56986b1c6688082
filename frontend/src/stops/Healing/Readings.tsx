import { useState } from "react";
import { asTyped } from "../../api/records";
import { withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { said } from "../../shell/Field";
import { NumberField, textOf } from "../../shell/NumberField";
import type { StopProps } from "../contract";
import { shortTime } from "./days";
import { Looks } from "./Looks";
import { inAftercare, type Reading, withoutReading } from "./records";
import { TimeField } from "./TimeField";

const LIST = ["aftercare", "drain", "readings"] as const;

/** All readings, the newest first; each can be corrected or taken out. */
export function Readings(props: StopProps) {
  const t = useSay("healing");
  const readings = props.entered.aftercare.drain?.readings ?? [];
  const [open, setOpen] = useState<number | null>(null);
  const newestFirst = readings
    .map((reading, index) => ({ reading, index }))
    .sort((a, b) => b.reading.emptied_at.localeCompare(a.reading.emptied_at));
  if (readings.length === 0) return null;
  return (
    <div className="readings">
      <h2>{t("readings.title")}</h2>
      <ol>
        {newestFirst.map(({ reading, index }) => (
          <li key={index}>
            <Line reading={reading} today={props.today} drains={countDrains(readings)} />
            <button
              type="button"
              className="quiet"
              aria-expanded={open === index}
              onClick={() => setOpen(open === index ? null : index)}
            >
              {t(open === index ? "readings.close" : "readings.correct")}
            </button>
            {open === index || isRefused(props, index) ? (
              <Correction {...props} reading={reading} index={index} />
            ) : null}
          </li>
        ))}
      </ol>
    </div>
  );
}

function Line({ reading, today, drains }: { reading: Reading; today: string; drains: number }) {
  const t = useSay("healing");
  const { volume_ml, span, fluid, patent } = reading;
  const parts = [
    drains > 1 ? t("readings.drain", { name: reading.drain }) : "",
    span === "in 24 h" && volume_ml !== null ? t(`span.${span}`) : "",
    fluid === "not stated" ? "" : t(`fluid.${fluid}`),
    patent === "not asked" ? "" : t(`readings.patent_${patent}`),
  ].filter((part) => part !== "");
  return (
    <span className="reading-line">
      <span>{shortTime(reading.emptied_at, today)}</span>
      <b className="figure">
        {volume_ml === null ? t("readings.unmeasured") : `${textOf(volume_ml)} ${t("unit.ml")}`}
      </b>
      <span className="small">{parts.join(", ")}</span>
    </span>
  );
}

function Correction({
  edit,
  refusals,
  today,
  reading,
  index,
}: StopProps & { reading: Reading; index: number }) {
  const t = useSay("healing");
  const at = (field: keyof Reading) => [...LIST, index, field];
  const put = (field: keyof Reading, value: unknown) =>
    edit(t("edits.correct"), (c) => withValue(c, at(field), value), `reading ${index} ${field}`);
  const remove = () =>
    edit(
      t("edits.remove_reading"),
      inAftercare((care) => withoutReading(care, index)),
    );
  return (
    <div className="reading-correction">
      <NumberField
        label={t("reading.volume")}
        unit={t("unit.ml")}
        value={reading.volume_ml}
        hint={t("readings.empty_means")}
        sentence={said(refusals, at("volume_ml"))}
        onType={(text) => put("volume_ml", text.trim() === "" ? null : asTyped(text))}
      />
      <TimeField
        label={t("reading.at")}
        value={reading.emptied_at}
        latest={`${today}T23:59`}
        sentence={said(refusals, at("emptied_at"))}
        onTime={(local) => put("emptied_at", local)}
      />
      <Looks
        value={reading}
        onChange={({ fluid, patent }) => {
          put("fluid", fluid);
          put("patent", patent);
        }}
      />
      <button type="button" className="quiet" onClick={remove}>
        {t("readings.remove")}
      </button>
    </div>
  );
}

function isRefused({ refusals }: StopProps, index: number): boolean {
  return refusals.some((refusal) =>
    [...LIST, index].every((key, i) => String(refusal.path[i]) === String(key)),
  );
}

function countDrains(readings: readonly Reading[]): number {
  return new Set(readings.map((each) => each.drain)).size;
}
