import { type ReactNode, useState } from "react";
import { CaseStrip, type StripCase } from "./CaseStrip";
import { Foot } from "./Foot";
import { PrimaryPlace } from "./PrimaryButton";
import "./Page.css";

type PageProps = {
  open: StripCase | null;
  today: string;
  /** A line under the strip: what is unsaved, that the server is gone. */
  line?: ReactNode;
  foot: ReactNode;
  /** Of the stop, for what is larger in Theatre. */
  name?: string;
  children: ReactNode;
};

/** The frame of every screen: strip above, road below, between them the sheet. */
export function Page({ open, today, line, foot, name = "", children }: PageProps) {
  const [place, setPlace] = useState<HTMLElement | null>(null);
  return (
    <PrimaryPlace value={place}>
      <div className={`page ${name}`}>
        <CaseStrip open={open} today={today} />
        {line}
        <main className="page-sheet">{children}</main>
        <Foot place={setPlace}>{foot}</Foot>
      </div>
    </PrimaryPlace>
  );
}
