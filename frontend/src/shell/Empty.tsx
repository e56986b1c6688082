import type { ReactNode } from "react";
import "./Empty.css";

/** Nothing yet: a dashed field of the final size, what is possible without it, one way to fill it. */
export function Empty({ children, action }: { children: ReactNode; action?: ReactNode }) {
  return (
    <div className="empty">
      <p>{children}</p>
      {action}
    </div>
  );
}
