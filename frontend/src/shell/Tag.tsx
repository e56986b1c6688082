import type { ReactNode } from "react";
import { useSay } from "../i18n/say";
import "./Tag.css";

export type TagKind = "check" | "stop" | "old" | "none";

/** A pattern with a letter, then a word: C Check, S Stop, O Old, N No figure. */
export function Tag({ kind, children }: { kind: TagKind; children?: ReactNode }) {
  const t = useSay();
  return (
    <span className={`tag tag-${kind}`}>
      <span className="tag-pattern" aria-hidden="true">
        <span className="tag-letter">{t(`tag_letter.${kind}`)}</span>
      </span>
      {children ?? t(`tag.${kind}`)}
    </span>
  );
}
