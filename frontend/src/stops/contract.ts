/** What every stop on the road gets, and the names of the stops. */

import type { ReactElement } from "react";
import type { Refusal } from "../api/client";
import type { Case, Revision, Road } from "../api/records";
import type { Edit, Saving } from "../editing/editor";

export const STOPS = [
  "disease",
  "excision",
  "closure",
  "marking",
  "theatre",
  "healing",
  "outcomes",
] as const;

export type StopName = (typeof STOPS)[number];

export type StopProps = {
  /** The last saved state: scan, plans, sign-off and sheets are read here. */
  revision: Revision;
  /** The case as entered; ahead of `revision.dossier.case` until it is saved. */
  entered: Case;
  /**
   * Change the case: a name for Undo, and a function that gives a new case and leaves the old one
   * as it is. Changes with the same third word within a second are undone together.
   */
  edit: Edit;
  /** Sentences of the server on entries that it refused, by their path in the case. */
  refusals: readonly Refusal[];
  saving: Saving;
  /** Resolves when everything entered is saved: wait for it before a job or a sheet is asked for. */
  saved: () => Promise<Revision>;
  /** Take over what the server wrote itself, after a job, a sign-off, a sheet. */
  refresh: () => Promise<Revision>;
  /** What is done, missing or old at each stop; nothing until it is read. */
  road: Road | null;
  /** Today's local date, ISO. */
  today: string;
  goTo: (stop: StopName) => void;
};

export type Stop = (props: StopProps) => ReactElement;
