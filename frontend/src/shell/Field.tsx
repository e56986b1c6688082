import { type ReactNode, useId } from "react";
import type { Refusal } from "../api/client";
import type { Path } from "../editing/paths";
import { sentenceAt } from "../editing/refusals";
import { Told } from "./Told";
import "./Field.css";

/** What a control inside a field needs to be joined to its label and sentence. */
export type Joined = { id: string; "aria-describedby": string; "aria-invalid": boolean };

type FieldProps = {
  label: ReactNode;
  unit?: string | undefined;
  /** The server's sentence on what stands in the field, or nothing. */
  sentence?: ReactNode;
  /** A hint, and other words under the field. */
  hint?: ReactNode;
  /** For instance "Take 28 mm". */
  action?: ReactNode;
  children: (joined: Joined) => ReactNode;
};

/** Label, control, unit, and beside it what is wrong; what was typed stays. */
export function Field({ label, unit, sentence = null, hint, action, children }: FieldProps) {
  const id = useId();
  const joined = { id, "aria-describedby": `${id}-said`, "aria-invalid": sentence !== null };
  return (
    <div className={sentence === null ? "field" : "field field-bad"}>
      <label htmlFor={id}>{label}</label>
      <span className="field-line">
        {children(joined)}
        {unit === undefined ? null : <span className="field-unit">{unit}</span>}
      </span>
      <span id={`${id}-said`} className="field-said" role="status">
        {sentence ?? hint}
      </span>
      {action}
    </div>
  );
}

/** What the server says about the entry at a path, for the props of a field. */
export function said(refusals: readonly Refusal[], path: Path): ReactNode {
  const sentence = sentenceAt(refusals, path);
  return sentence === null ? null : <Told>{sentence}</Told>;
}
