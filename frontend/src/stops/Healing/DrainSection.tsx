import type { HealingPlan } from "../../api/records";
import { number, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { DayField } from "../../shell/DayField";
import { Fold } from "../../shell/Fold";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { dayAfter, weekdayDay } from "./days";
import { Fan } from "./Fan";
import { FanTable } from "./FanTable";
import { ReadingForm } from "./ReadingForm";
import { Readings } from "./Readings";
import { inAftercare } from "./records";
import { useDrainSentence } from "./useDrainSentence";

type DrainSectionProps = StopProps & { healing: HealingPlan | null; reason: string | null };

/** The drain: what is expected, what was read, and the next reading. */
export function DrainSection(props: DrainSectionProps) {
  const { healing, reason, entered } = props;
  const t = useSay("healing");
  const { drain, drain_out_on } = entered.aftercare;
  const none = entered.operation?.drains?.length === 0;
  const sentence = useDrainSentence(entered, healing);
  return (
    <section className="healing-drain">
      <h1>{t("drain.title")}</h1>
      {reason ? (
        <p className="say" role="alert">
          <Tag kind="none" /> <Told>{reason}</Told>
        </p>
      ) : (
        <p className="say">{sentence}</p>
      )}
      <SuddenFalls healing={healing} began={drain?.operation_ended_at.slice(0, 10)} />
      {healing ? <Cautions healing={healing} /> : null}
      {healing && drain && drain.readings.length > 0 ? (
        <>
          <Expected healing={healing} />
          <Fan healing={healing} began={drain.operation_ended_at.slice(0, 10)} words={sentence} />
          <Fold title={t("fan.table")}>
            <FanTable healing={healing} began={drain.operation_ended_at.slice(0, 10)} />
          </Fold>
        </>
      ) : null}
      {none || drain_out_on !== null ? null : (
        <>
          <ReadingForm {...props} />
          <TakeOut {...props} />
        </>
      )}
      {drain_out_on !== null ? <DrainOut {...props} on={drain_out_on} /> : null}
      <Readings {...props} />
      {healing ? <Evidence healing={healing} /> : null}
    </section>
  );
}

/** Word joiner: a range is never broken over two lines. */
const UNBROKEN = "\u2060";

/** What the next reading may show. */
function Expected({ healing }: { healing: HealingPlan }) {
  const t = useSay("healing");
  const next = healing.drain?.volumes[0];
  if (!next) return null;
  const { low_of_8_in_10_ml_per_day: low, high_of_8_in_10_ml_per_day: high } = next;
  const figure = range(low, high, t("unit.ml_in_24_h")).replace("–", `${UNBROKEN}–${UNBROKEN}`);
  return <p>{t("drain.expected", { day: next.day, range: figure })}</p>;
}

/** A sudden fall is a blocked drain until shown otherwise. */
function SuddenFalls({ healing, began }: { healing: HealingPlan | null; began?: string }) {
  const t = useSay("healing");
  return (healing?.drain?.sudden_falls ?? []).map((fall) => (
    <div key={fall.day} className="healing-warning" role="alert">
      <Tag kind="stop">{t("drain.blocked")}</Tag>
      <p>
        {t("drain.sudden", {
          day: began ? weekdayDay(dayAfter(began, fall.day)) : fall.day,
          ml: number(fall.ml_per_day),
          expected: number(fall.expected_ml_per_day),
        })}
      </p>
    </div>
  ));
}

const SAID_ABOVE = "blocked drain until shown otherwise";

function Cautions({ healing }: { healing: HealingPlan }) {
  const cautions = healing.drain?.cautions ?? [];
  return cautions
    .filter((caution) => !caution.includes(SAID_ABOVE))
    .map((caution) => (
      <p key={caution} className="healing-caution">
        <Tag kind="check" /> <Told>{caution}</Told>
      </p>
    ));
}

function Evidence({ healing }: { healing: HealingPlan }) {
  const t = useSay("healing");
  if (!healing.drain) return null;
  return (
    <Fold title={t("drain.evidence")}>
      {healing.drain.evidence.map((sentence) => (
        <p key={sentence} className="small">
          <Told>{sentence}</Told>
        </p>
      ))}
    </Fold>
  );
}

function TakeOut({ edit, today }: StopProps) {
  const t = useSay("healing");
  const out = inAftercare((care) => ({ ...care, drain_out_on: today }));
  return (
    <button type="button" className="quiet" onClick={() => edit(t("edits.drain_out"), out)}>
      {t("drain.take_out")}
    </button>
  );
}

/** The day on which it came out, which may have been before it was recorded. */
function DrainOut({ edit, on, today }: StopProps & { on: string }) {
  const t = useSay("healing");
  const put = (name: string, drain_out_on: string | null) =>
    edit(
      t(name),
      inAftercare((care) => ({ ...care, drain_out_on })),
      "drain out",
    );
  return (
    <div className="agenda-done">
      <DayField
        label={<b>{t("drain.out_on")}</b>}
        value={on}
        latest={today}
        onDay={(day) => day && put("edits.drain_out", day)}
      />
      <button type="button" className="quiet" onClick={() => put("edits.drain_lies", null)}>
        {t("drain.lies_again")}
      </button>
    </div>
  );
}
