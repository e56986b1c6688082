import { useState } from "react";
import { write } from "../../api/client";
import type { Issued } from "../../api/records";
import type { StopProps } from "../contract";
import { asPrinted } from "./Sheets";

/** Printing: a sheet is put on record first, then it opens. */
export type Issue = {
  print: (name: string) => void;
  /** Where the sheet printed last is, in case the browser did not open it. */
  last: { name: string; href: string } | null;
  /** The server's sentence why it was not printed, or nothing. */
  sentence: string;
};

export function useIssue({ revision, saved, refresh }: StopProps, paper: string): Issue {
  const [last, setLast] = useState<Issue["last"]>(null);
  const [sentence, setSentence] = useState("");
  const issued = async (name: string) => {
    setSentence("");
    try {
      await saved();
      const path = `/api/cases/${revision.case_id}/sheets/${name}?${asPrinted(paper)}`;
      const { href } = await write<Issued>({ method: "POST", path });
      setLast({ name, href });
      window.open(href, "_blank");
      await refresh();
    } catch (fault) {
      setSentence((fault as Error).message);
    }
  };
  return { print: (name) => void issued(name), last, sentence };
}
