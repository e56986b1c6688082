import { asTyped } from "../../api/records";
import { valueAt, withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { said } from "../../shell/Field";
import { Fold } from "../../shell/Fold";
import { NumberField } from "../../shell/NumberField";
import type { StopProps } from "../contract";
import "./LimitFields.css";

/** Each limit with its unit, in the order in which it is thought of. */
const FIELDS = [
  ["drawn_margin_mm", "mm"],
  ["least_clearance_mm", "mm"],
  ["wall_angle_deg", "°"],
  ["lower_end_midline_mm", "mm"],
  ["anal_verge_mm", "mm"],
  ["base_to_length_ratio", ""],
  ["edge_mismatch_mm", "mm"],
] as const;

/** What is asked of every plan; the figures beside the drawing follow, the plans wait. */
export function LimitFields({ entered, edit, refusals }: StopProps) {
  const t = useSay("excision");
  return (
    <Fold title={t("limits.title")}>
      <p className="small">{t("limits.lead")}</p>
      <div className="limit-fields">
        {FIELDS.map(([name, unit]) => {
          const path = ["limits", name];
          return (
            <NumberField
              key={name}
              label={t(`limits.${name}`)}
              {...(unit ? { unit } : {})}
              value={valueAt(entered, path) as number | string}
              sentence={said(refusals, path)}
              onType={(text) =>
                edit(
                  t(`limits.${name}`),
                  (c) => withValue(c, path, asTyped(text)),
                  `limits ${name}`,
                )
              }
            />
          );
        })}
      </div>
    </Fold>
  );
}
