import type { ReactNode } from "react";
import "./Note.css";

/** The column beside the drawing. */
export function Notes({ children }: { children: ReactNode }) {
  return <div className="notes">{children}</div>;
}

/** One thing said beside the drawing; a hairline keeps it from the next. */
export function Note({ title, children }: { title?: ReactNode; children: ReactNode }) {
  return (
    <section className="note">
      {title === undefined ? null : <h2>{title}</h2>}
      {children}
    </section>
  );
}
