import type { TractMap } from "../../api/records";
import { measure, number } from "../../i18n/figures";
import { useSay } from "../../i18n/say";

/** How far probe and scan lie apart, tract by tract; nothing where only one of them was there. */
export function Apart({ rows }: { rows: TractMap["disagreements"] }) {
  const t = useSay("disease");
  if (rows.length === 0) return null;
  return (
    <section className="note">
      <h2>{t("apart_title")}</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">{t("apart_tract")}</th>
            <th scope="col">{t("apart_ends")}</th>
            <th scope="col">{t("apart_mean")}</th>
            <th scope="col">{t("apart_length")}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.tract}>
              <th scope="row">{row.tract}</th>
              <td>{measure(row.blind_end_mm, "mm")}</td>
              <td>{measure(row.mean_mm, "mm")}</td>
              <td>{`${row.length_mm > 0 ? "+" : ""}${number(row.length_mm)}\u00a0mm`}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
