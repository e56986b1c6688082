import type { Case, HealingPlan } from "../../api/records";
import { type Say, useSay } from "../../i18n/say";
import { textOf } from "../../shell/NumberField";
import { dayAfter, weekdayDay } from "./days";
import type { Forecast } from "./records";

/** What is known of the drain, in one or two sentences. */
export function useDrainSentence(entered: Case, healing: HealingPlan | null): string {
  const t = useSay("healing");
  const { drain, drain_out_on } = entered.aftercare;
  if (entered.operation?.drains?.length === 0) return t("drain.none_laid");
  if (drain_out_on !== null) return t("drain.is_out");
  if (!drain || drain.readings.length === 0) return t("drain.no_reading");
  if (!healing?.drain) return t("drain.waiting");
  const began = drain.operation_ended_at.slice(0, 10);
  const { below_ml, readings, latest_day } = healing.drain_rule;
  const rule = t(readings > 1 ? "drain.rule_in_a_row" : "drain.rule", {
    ml: textOf(below_ml),
    count: readings,
  });
  return sentenceOf(healing.drain, { rule, latest_day, began }, t);
}

type Frame = { rule: string; latest_day: number; began: string };

function sentenceOf(forecast: Forecast, { rule, latest_day, began }: Frame, t: Say): string {
  const on = (day: number) => weekdayDay(dayAfter(began, day));
  const latest = on(latest_day);
  const { met_on_day, days, most_likely_day, from_day, to_day } = forecast;
  if (met_on_day !== null) return t("drain.met", { rule, day: on(met_on_day) });
  if (days.length === 0) return t("drain.latest_reached", { day: latest });
  const likely =
    most_likely_day === null
      ? t("drain.not_by", { rule, day: latest })
      : t("drain.likely", { rule, day: on(most_likely_day) });
  if (from_day === null) return likely;
  const figures = { from: on(from_day), to: to_day === null ? "" : on(to_day) };
  const form = to_day === null ? "open" : to_day === from_day ? "one" : "between";
  return `${likely} ${t(`drain.range_${form}`, figures)}`;
}
