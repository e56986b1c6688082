import { useSay } from "../../i18n/say";
import { AnswerChoice, Choice } from "../../shell/Choice";
import type { Reading } from "./records";

type Seen = Pick<Reading, "fluid" | "patent">;

const FLUIDS = [
  "not stated",
  "clear or yellow",
  "blood-stained",
  "bright blood",
  "turbid or foul",
] as const;

/** What the fluid looks like, and whether the tube was seen to be open. */
export function Looks({ value, onChange }: { value: Seen; onChange: (seen: Seen) => void }) {
  const t = useSay("healing");
  return (
    <div className="reading-looks">
      <Choice
        label={t("reading.fluid")}
        options={FLUIDS.map((each) => ({ value: each, word: t(`fluid.${each}`) }))}
        value={value.fluid}
        onChoose={(fluid) => onChange({ ...value, fluid })}
      />
      <AnswerChoice
        label={t("reading.patent")}
        value={value.patent}
        onChoose={(patent) => onChange({ ...value, patent })}
      />
    </div>
  );
}
