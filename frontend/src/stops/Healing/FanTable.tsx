import type { HealingPlan } from "../../api/records";
import { number, range } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { dayAfter, shortDay } from "./days";

/** The same figures as the fan, as a table. */
export function FanTable({ healing, began }: { healing: HealingPlan; began: string }) {
  const t = useSay("healing");
  const { drain_days, drain } = healing;
  return (
    <table>
      <thead>
        <tr>
          <th>{t("fan.day")}</th>
          <th>{t("fan.in_24_h")}</th>
        </tr>
      </thead>
      <tbody>
        {drain_days.map((each) => (
          <tr key={`read ${each.day}`}>
            <td>{shortDay(dayAfter(began, each.day))}</td>
            <td>
              {each.ml_per_day === null
                ? t("readings.unmeasured")
                : t(each.counts ? "fan.was_read" : "fan.not_counted", {
                    ml: number(each.ml_per_day, 1),
                  })}
            </td>
          </tr>
        ))}
        {(drain?.volumes ?? []).map((each) => (
          <tr key={`ahead ${each.day}`}>
            <td>{shortDay(dayAfter(began, each.day))}</td>
            <td>
              {t("fan.may_be", {
                wide: range(
                  each.low_of_8_in_10_ml_per_day,
                  each.high_of_8_in_10_ml_per_day,
                  t("unit.ml"),
                ),
                half: range(
                  each.low_of_half_ml_per_day,
                  each.high_of_half_ml_per_day,
                  t("unit.ml"),
                ),
              })}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
