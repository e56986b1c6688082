import { useState } from "react";
import { write } from "../../api/client";
import { useSay } from "../../i18n/say";
import { toldText } from "../../i18n/told";
import { NumberField } from "../../shell/NumberField";
import type { Support } from "./records";

type ReadNumber = { value: number | null; reason: string };

type DayStepperProps = {
  day: number;
  chances: Support["chances"];
  onMove: (day: number) => void;
};

/** The same day without a drag: a day earlier, a day later, or typed. */
export function DayStepper({ day, chances, onMove }: DayStepperProps) {
  const t = useSay("healing");
  const [sentence, setSentence] = useState<string | null>(null);
  const step = (to: number) => {
    setSentence(null);
    onMove(to);
  };
  const type = (text: string) => {
    if (text.trim() === "") return;
    write<ReadNumber[]>({ method: "POST", path: "/api/numbers", body: { texts: [text] } })
      .then(([read]) => take(read))
      .catch(() => setSentence(t("support.not_read")));
  };
  const take = (read: ReadNumber | undefined) => {
    const value = read?.value ?? null;
    if (value === null) return setSentence(toldText(read?.reason ?? ""));
    if (chances.length > 0 && !chances.some((each) => each.on_day === value)) {
      const ends = { low: chances[0]?.on_day ?? 0, high: chances.at(-1)?.on_day ?? 0 };
      return setSentence(t("support.day_out_of_range", ends));
    }
    return step(value);
  };
  return (
    <div className="day-stepper">
      <button type="button" className="outlined" onClick={() => step(day - 1)}>
        {t("support.earlier")}
      </button>
      <NumberField label={t("support.day")} value={day} sentence={sentence} onType={type} />
      <button type="button" className="outlined" onClick={() => step(day + 1)}>
        {t("support.later")}
      </button>
    </div>
  );
}
