import type { ReactNode } from "react";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";

type CheckOutcomeProps = {
  /** Why there is no answer. */
  sentence: string | null;
  /** What must be looked at, as the server says it; nothing: there is no answer. */
  flags: readonly string[] | undefined;
  /** The answer in words. */
  children: ReactNode;
};

/** What came of a check of a dose, or why it was refused. */
export function CheckOutcome({ sentence, flags, children }: CheckOutcomeProps) {
  return (
    <div role="status">
      {sentence ? (
        <p>
          <Tag kind="stop" /> <Told>{sentence}</Told>
        </p>
      ) : null}
      {flags ? (
        <>
          <p className="say">{children}</p>
          <ul className="check-flags">
            {flags.map((flag) => (
              <li key={flag}>
                <Told>{flag}</Told>
              </li>
            ))}
          </ul>
        </>
      ) : null}
    </div>
  );
}
