import type { ReactNode } from "react";
import { asTyped } from "../../api/records";
import { type Path, valueAt, withValue } from "../../editing/paths";
import { useSay } from "../../i18n/say";
import { said } from "../../shell/Field";
import { NumberField } from "../../shell/NumberField";
import type { StopProps } from "../contract";
import { isOpen, typedOrNone } from "./entries";

type MeasuredProps = Pick<StopProps, "entered" | "edit" | "refusals"> & {
  label: string;
  unit: string;
  path: Path;
  hint?: ReactNode;
  /** It may be left out. */
  mayBeNone?: boolean;
};

/** One measured number of the case: kept as typed, read by the server, refused beside the field. */
export function Measured({
  entered,
  edit,
  refusals,
  label,
  unit,
  path,
  hint,
  mayBeNone,
}: MeasuredProps) {
  const t = useSay("disease");
  const value = valueAt(entered, path) as number | string | null;
  const isStillOpen = isOpen(value);
  const type = (text: string) =>
    edit(
      label,
      (c) => withValue(c, path, mayBeNone ? typedOrNone(text) : asTyped(text)),
      path.join(" "),
    );
  return (
    <NumberField
      label={label}
      unit={unit}
      value={value}
      sentence={isStillOpen ? null : said(refusals, path)}
      hint={isStillOpen ? t("not_entered") : hint}
      onType={type}
    />
  );
}
