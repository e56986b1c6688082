import type { Plan } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";

/** Where the scar lies once the skin has given, against each of the three midlines. */
export function ScarAfter({ plan: { mechanics } }: { plan: Plan }) {
  const t = useSay("closure");
  const after = mechanics?.scar_after ?? null;
  if (!after) {
    return (
      <Note title={t("after.title")}>
        <p>{t("after.none")}</p>
      </Note>
    );
  }
  const lines = [
    { name: "sagittal", from: after.sagittal },
    { name: "material", from: after.material },
    { name: "floor", from: after.floor },
  ] as const;
  return (
    <Note title={t("after.title")}>
      <table className="scar-after">
        <thead>
          <tr>
            <th scope="col">{t("after.from")}</th>
            <th scope="col" className="right">
              {t("after.lower_end")}
            </th>
            <th scope="col" className="right">
              {t("after.least")}
            </th>
            <th scope="col" className="right">
              {t("after.meets")}
            </th>
          </tr>
        </thead>
        <tbody>
          {lines.map(({ name, from }) => (
            <tr key={name}>
              <th scope="row">{t(`after.${name}`)}</th>
              <td className="right">{from ? measure(from.lower_end_mm, "mm") : t("after.gone")}</td>
              <td className="right">{from ? measure(from.least_mm, "mm") : ""}</td>
              <td className="right">{from ? t("after.times", { count: from.crossings }) : ""}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="small">{t("after.honest")}</p>
    </Note>
  );
}
