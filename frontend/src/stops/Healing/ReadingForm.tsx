import { useRef, useState } from "react";
import { asTyped } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { Fold } from "../../shell/Fold";
import { NumberField } from "../../shell/NumberField";
import { PrimaryButton } from "../../shell/PrimaryButton";
import type { StopProps } from "../contract";
import { nowLocal } from "./days";
import { Looks } from "./Looks";
import { inAftercare, type Reading, withReading } from "./records";
import { isLater, TimeField } from "./TimeField";

const SPANS = ["since last emptied", "in 24 h"] as const;
const FRESH = { volume: "", at: null as string | null, unmeasured: false };

/** One emptying of one drain: how much, of what time, when. */
export function ReadingForm({ entered, edit, today }: StopProps) {
  const t = useSay("healing");
  const drains = drainNames(entered.operation?.drains, entered.aftercare.drain?.readings);
  const [typed, setTyped] = useState(FRESH);
  const [span, setSpan] = useState<Reading["span"]>("since last emptied");
  const [drain, setDrain] = useState(drains[0] ?? "1");
  const [looks, setLooks] = useState<Pick<Reading, "fluid" | "patent">>(UNSEEN);
  const begins = entered.aftercare.drain === null;
  const [ended, setEnded] = useState(() => lastStep(entered.operation));
  const [isEndUnread, setEndUnread] = useState(false);
  const [isAtUnread, setAtUnread] = useState(false);
  const now = useNow(isAtUnread);
  const at = typed.at ?? now;
  const latest = `${today}T23:59`;
  const isWrong = isEndUnread || isAtUnread || isLater(ended, latest) || isLater(at, latest);
  const off = isWrong ? t("reading.no_time") : missing(typed, begins && ended === "", t);
  const put = (some: Partial<typeof typed>) => setTyped({ ...typed, ...some });
  const save = () => {
    const volume_ml = typed.unmeasured ? null : asTyped(typed.volume);
    const reading: Reading = { drain, emptied_at: at, volume_ml, span, note: "", ...looks };
    edit(
      t("edits.reading"),
      inAftercare((care) => withReading(care, ended, reading)),
    );
    setTyped(FRESH);
    setLooks(UNSEEN);
  };
  return (
    <div className="reading-form">
      <h2>{t("reading.title")}</h2>
      {begins ? (
        <TimeField
          label={t("reading.ended")}
          value={ended}
          latest={latest}
          onTime={setEnded}
          onUnread={setEndUnread}
        />
      ) : null}
      <div className="reading-main">
        <NumberField
          label={t("reading.volume")}
          unit={t("unit.ml")}
          value={typed.volume}
          disabled={typed.unmeasured}
          onType={(volume) => put({ volume })}
        />
        <TimeField
          label={t("reading.at")}
          value={at}
          latest={latest}
          onTime={(local) => put({ at: local })}
          onUnread={setAtUnread}
        />
      </div>
      <Choice
        label={t("reading.span")}
        options={SPANS.map((value) => ({ value, word: t(`span.${value}`) }))}
        value={span}
        onChoose={setSpan}
      />
      {drains.length > 1 ? (
        <Choice
          label={t("reading.drain")}
          options={drains.map((name) => ({ value: name, word: name }))}
          value={drain}
          onChoose={setDrain}
        />
      ) : null}
      <label className="healing-check">
        <input
          type="checkbox"
          checked={typed.unmeasured}
          onChange={(event) => put({ unmeasured: event.target.checked })}
        />
        {t("reading.unmeasured")}
      </label>
      <Fold title={t("reading.looks")}>
        <Looks value={looks} onChange={setLooks} />
      </Fold>
      <PrimaryButton off={off} onPress={save}>
        {t("reading.save")}
      </PrimaryButton>
    </div>
  );
}

const UNSEEN: Pick<Reading, "fluid" | "patent"> = { fluid: "not stated", patent: "not asked" };

/** The clock on the wall as it is shown; it stands still while another time is being typed. */
function useNow(stands: boolean): string {
  const shown = useRef(nowLocal());
  if (!stands) shown.current = nowLocal();
  return shown.current;
}

type Operation = StopProps["entered"]["operation"];

function missing(typed: typeof FRESH, hasNoEnd: boolean, t: ReturnType<typeof useSay>) {
  if (hasNoEnd) return t("reading.no_end");
  return typed.volume.trim() === "" && !typed.unmeasured ? t("reading.no_volume") : null;
}

/** The drains that were laid, or those that were read. */
function drainNames(
  laid: NonNullable<Operation>["drains"] | undefined,
  read: readonly Reading[] | undefined,
): string[] {
  const names = laid?.map((each) => each.name) ?? read?.map((each) => each.drain) ?? [];
  return names.length > 0 ? [...new Set(names)] : ["1"];
}

/** When the last step of the operation was, as far as it was recorded. */
function lastStep(operation: Operation): string {
  const at = operation?.steps
    ?.map((each) => each.at)
    .sort()
    .at(-1);
  return operation && at ? `${operation.operated_on}T${at.slice(0, 5)}` : "";
}
