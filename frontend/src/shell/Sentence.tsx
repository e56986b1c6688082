import type { ReactNode } from "react";

/** A figure as a sentence; its band, if it has one, lies below it on a ruler, its source last. */
export function Sentence({ children, band, source }: SentenceProps) {
  return (
    <div className="sentence">
      <p className="say">{children}</p>
      {band}
      {source === undefined ? null : <p className="small">{source}</p>}
    </div>
  );
}

type SentenceProps = { children: ReactNode; band?: ReactNode; source?: ReactNode };
