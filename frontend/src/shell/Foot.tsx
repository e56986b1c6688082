import type { ReactNode } from "react";
import "./Foot.css";

type FootProps = {
  children: ReactNode;
  /** Receives the place of the primary button. */
  place: (element: HTMLElement | null) => void;
};

/** The lower edge: the road, and at its end the one filled button. */
export function Foot({ children, place }: FootProps) {
  return (
    <footer className="foot">
      {children}
      <div ref={place} className="foot-primary" />
    </footer>
  );
}
