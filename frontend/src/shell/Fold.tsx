import type { ReactNode } from "react";
import "./Fold.css";

type FoldProps = {
  /** Says the gist already: "Clearance of each tract, wall by wall". */
  title: ReactNode;
  open?: boolean;
  children: ReactNode;
};

/** What only some readers want, behind a row that says what it holds. */
export function Fold({ title, open = false, children }: FoldProps) {
  return (
    <details className="fold" open={open}>
      <summary>
        <span>{title}</span>
        <svg width="18" height="12" viewBox="0 0 18 12" aria-hidden="true">
          <path d="M3 3l6 6l6 -6" />
        </svg>
      </summary>
      <div className="fold-inner">{children}</div>
    </details>
  );
}
