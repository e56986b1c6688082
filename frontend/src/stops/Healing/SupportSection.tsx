import { useState } from "react";
import type { HealingPlan } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { DayField } from "../../shell/DayField";
import { Fold } from "../../shell/Fold";
import { textOf } from "../../shell/NumberField";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { DayStepper } from "./DayStepper";
import { dayAfter, daysBetween, weekdayDay } from "./days";
import { inAftercare, type Support, stitchesOut } from "./records";
import { SupportCurve } from "./SupportCurve";
import { hasOwnStitches, stitchDays, withFirstStitches, withoutOwnStitches } from "./stitches";

const MULTIPLES = [2, 3, 4];

type SupportSectionProps = StopProps & { healing: HealingPlan };

/** What holds the wound from day to day, and the day on which stitches leave as a handle. */
export function SupportSection(props: SupportSectionProps) {
  const { healing, entered, edit } = props;
  const t = useSay("healing");
  const [held, setHeld] = useState<number | null>(null);
  const entries = healing.schedule?.entries ?? [];
  const operated = healing.schedule?.operated_on ?? "";
  const [first] = stitchDays(entered, entries);
  if (!first) return null;
  const set = daysBetween(operated, first.on);
  const day = held ?? set;
  const move = (to: number) => {
    const on = dayAfter(operated, to);
    if (on !== first.on) {
      edit(t("edits.stitches"), (c) => withFirstStitches(c, entries, on), "stitches");
    }
  };
  const { support } = healing;
  return (
    <section className="healing-support">
      <h2>{t("support.title")}</h2>
      {support ? (
        <>
          <OutOn support={support} day={day} on={dayAfter(operated, day)} />
          <SupportCurve
            support={support}
            day={day}
            onMove={setHeld}
            onDone={(to) => {
              setHeld(null);
              move(to);
            }}
          />
        </>
      ) : (
        <>
          <p className="say">
            <Tag kind="none" /> <Told>{healing.support_reason}</Told>
          </p>
          {isPullMissing(props) ? <PullMissing {...props} /> : null}
        </>
      )}
      <DayStepper day={day} chances={support?.chances ?? []} onMove={move} />
      {hasOwnStitches(entered) ? (
        <button
          type="button"
          className="quiet"
          onClick={() => edit(t("edits.stitches"), withoutOwnStitches)}
        >
          {t("support.customary_again")}
        </button>
      ) : null}
      <StitchesOut {...props} />
      {support ? <Terms {...props} support={support} /> : null}
    </section>
  );
}

/** The plan was made in theatre, and its pull was not computed there. */
function isPullMissing({ healing: { plan, code }, revision: { dossier } }: SupportSectionProps) {
  return plan !== null && plan.mechanics === null && dossier.theatre?.code === code;
}

function PullMissing({ goTo }: StopProps) {
  const t = useSay("healing");
  return (
    <p>
      {t("support.pull_missing")}{" "}
      <button type="button" className="quiet" onClick={() => goTo("theatre")}>
        {t("support.to_pull")}
      </button>
    </p>
  );
}

/** The day under the handle, in words. */
function OutOn({ support, day, on }: { support: Support; day: number; on: string }) {
  const t = useSay("healing");
  const chance = support.chances.find((each) => each.on_day === day);
  const out = t("support.out_on", { day, on: weekdayDay(on) });
  if (!chance) {
    const ends = {
      low: support.chances[0]?.on_day ?? 0,
      high: support.chances.at(-1)?.on_day ?? 0,
    };
    return (
      <p className="say" role="status">
        {out} <Tag kind="none" /> {t("support.no_chance", ends)}
      </p>
    );
  }
  return (
    <p className="say" role="status">
      {out}{" "}
      {t("support.chance", {
        of_100: chance.of_100,
        multiple: textOf(support.multiple_ratio),
      })}{" "}
      {t("support.keeps", {
        times: textOf(chance.over_load_ratio),
        worst: textOf(chance.worst_over_load_ratio),
      })}
    </p>
  );
}

/** All stitches recorded as out, with the day. */
function StitchesOut({ entered, edit, today }: StopProps) {
  const t = useSay("healing");
  const on = entered.aftercare.stitches_out_on;
  const put = (next: string | null) =>
    edit(
      t("edits.stitches_out"),
      inAftercare((care) => stitchesOut(care, next)),
      "stitches out",
    );
  if (on === null) {
    return (
      <button type="button" className="outlined" onClick={() => put(today)}>
        {t("support.all_out")}
      </button>
    );
  }
  return (
    <div className="agenda-done">
      <DayField
        label={<b>{t("support.all_out_on")}</b>}
        value={on}
        latest={today}
        onDay={(day) => day && put(day)}
      />
      <button type="button" className="quiet" onClick={() => put(null)}>
        {t("agenda.unmark")}
      </button>
    </div>
  );
}

/** What is asked of the wound, what warns, and what the figures rest on. */
function Terms({ entered, edit, support }: StopProps & { support: Support }) {
  const t = useSay("healing");
  const asked = entered.aftercare.multiple_ratio;
  const shown = [...new Set([...MULTIPLES, Number(asked)])].sort((a, b) => a - b);
  return (
    <>
      <Choice
        label={t("support.multiple")}
        options={shown.map((each) => ({
          value: String(each),
          word: t("support.times", { times: textOf(each) }),
        }))}
        value={String(asked)}
        onChoose={(value) =>
          edit(
            t("edits.multiple"),
            inAftercare((care) => ({
              ...care,
              multiple_ratio: shown.find((each) => String(each) === value) ?? asked,
            })),
          )
        }
      />
      {support.warnings.map((warning) => (
        <p key={warning} className="healing-caution">
          <Tag kind="check" /> <Told>{warning}</Told>
        </p>
      ))}
      <p className="small">{t("support.relative")}</p>
      <Fold title={t("support.sources")}>
        <ul className="small">
          {support.sources.map((source) => (
            <li key={source}>
              <Told>{source}</Told>
            </li>
          ))}
        </ul>
      </Fold>
    </>
  );
}
