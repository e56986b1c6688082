/**
 * One open case: what was entered, what is saved, and the way between them.
 *
 * Only the entered case is edited here; scan, plans, sign-off and sheets of the dossier are made
 * by the server. Nothing is overwritten silently: a foreign revision with another case waits for a
 * choice. Every change is kept in the browser at once and sent after a short pause.
 */

import { mayPassLater, type Refusal, RefusedError } from "../api/client";
import type { Case, Dossier, Revision } from "../api/records";
import { both, type Differing, differing } from "./conflicts";
import type { Draft, Drafts } from "./drafts";
import { changed, type History, historyOf, redone, restated, undone } from "./history";
import { differences } from "./paths";
import { asEntered, inCase, settable, stillStanding } from "./refusals";

export const PAUSE_MS = 400;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;

/** How far saving is. A case that was refused in part is saved without the refused entries. */
export type Saving =
  | { kind: "saved"; at_ms: number }
  | { kind: "saving" }
  | { kind: "unsaved"; since_ms: number; sentence: string }
  | { kind: "conflict" };

export type Conflict = {
  theirs: Revision;
  differing: readonly Differing[];
  /** Whether the two changed different places, so that both can be kept. */
  canKeepBoth: boolean;
};

export type EditorState = {
  /** The last saved state. */
  revision: Revision;
  /** The case as entered; the same as the saved one unless something is unsaved. */
  entered: Case;
  saving: Saving;
  refusals: readonly Refusal[];
  conflict: Conflict | null;
  /** The step that Undo would take back, or nothing. */
  undo: string | null;
  redo: string | null;
};

export type Edit = (name: string, change: (entered: Case) => Case, merge?: string) => void;

export type Editor = {
  state: () => EditorState;
  subscribe: (listener: () => void) => () => void;
  edit: Edit;
  undo: () => void;
  redo: () => void;
  resolve: (choice: "mine" | "theirs" | "both") => void;
  /** A revision that the server made, for instance after a job. */
  adopt: (revision: Revision) => void;
  /** Resolves when everything entered is saved; refuses with the sentence if it cannot be. */
  saved: () => Promise<Revision>;
  retry: () => void;
  close: () => void;
};

export type Save = (
  caseId: string,
  follows: number,
  dossier: Dossier,
  key: string,
) => Promise<Revision>;

export type EditorParts = {
  revision: Revision;
  save: Save;
  newest: (caseId: string) => Promise<Revision>;
  drafts: Drafts;
  key: () => string;
  now_ms: () => number;
};

/**
 * Something on its way: it is sent again unchanged until the server has answered; where it answers
 * that it failed, until something else is entered.
 */
type Sending = {
  entered: Case;
  sent: Case;
  follows: number;
  dossier: Dossier;
  key: string;
  /** What was refused before and is left out of what is sent. */
  leftOut: readonly Refusal[];
};

type Waiting = { resolve: (revision: Revision) => void; reject: (fault: Error) => void };

export function openEditor(parts: EditorParts): Editor {
  return new OpenCase(parts).editor();
}

class OpenCase {
  private readonly parts: EditorParts;
  private revision: Revision;
  private history: History<Case>;
  private saving: Saving;
  private refusals: readonly Refusal[] = [];
  private theirs: Revision | null = null;
  private sending: Sending | null = null;
  private inFlight = false;
  /** The server answered what is on its way, and failed at it. */
  private hasFailed = false;
  private wait_ms = FIRST_WAIT_MS;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private readonly listeners = new Set<() => void>();
  private waiting: Waiting[] = [];
  private shown: EditorState;

  constructor(parts: EditorParts) {
    this.parts = parts;
    this.revision = parts.revision;
    this.history = historyOf(parts.revision.dossier.case);
    this.saving = { kind: "saved", at_ms: Date.parse(parts.revision.saved_at) };
    const draft = parts.drafts.find(parts.revision.case_id);
    if (draft) this.takeUp(draft);
    this.shown = this.stateNow();
  }

  editor(): Editor {
    return {
      state: () => this.shown,
      subscribe: (listener) => {
        this.listeners.add(listener);
        return () => this.listeners.delete(listener);
      },
      edit: (name, change, merge) => this.edit(name, change, merge),
      undo: () => this.move(undone(this.history)),
      redo: () => this.move(redone(this.history, this.parts.now_ms())),
      resolve: (choice) => this.resolve(choice),
      adopt: (revision) => this.adopt(revision),
      saved: () => this.whenSaved(),
      retry: () => void this.push(),
      close: () => clearTimeout(this.timer),
    };
  }

  private edit(name: string, change: (entered: Case) => Case, merge?: string): void {
    const next = change(this.history.present);
    const step = { name, merge: merge ?? null, at_ms: this.parts.now_ms() };
    this.move(changed(this.history, next, step));
  }

  private move(history: History<Case>): void {
    if (history.present === this.history.present) return;
    this.refusals = stillStanding(this.refusals, this.history.present, history.present);
    this.history = history;
    this.keepDraft();
    this.later(PAUSE_MS);
    if (!this.theirs && this.saving.kind === "saved") this.saving = { kind: "saving" };
    this.tell();
  }

  private keepDraft(): void {
    this.parts.drafts.keep({
      caseId: this.revision.case_id,
      basedOn: this.revision.number,
      entered: this.history.present,
      at_ms: this.parts.now_ms(),
    });
  }

  /** Entries of an earlier page that were not acknowledged. */
  private takeUp(draft: Draft): void {
    const step = { name: "draft", at_ms: draft.at_ms };
    if (differences(draft.entered, this.revision.dossier.case).length === 0) {
      this.parts.drafts.forget(draft.caseId);
      return;
    }
    this.history = changed(this.history, draft.entered, step);
    if (draft.basedOn === this.revision.number) this.later(PAUSE_MS);
    else this.meet(this.revision);
    if (!this.theirs) this.saving = { kind: "saving" };
  }

  // --- saving

  private later(wait_ms: number): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.push(), wait_ms);
  }

  private async push(): Promise<void> {
    clearTimeout(this.timer);
    if (this.inFlight || this.theirs) return;
    if (this.hasFailed && this.sending?.entered !== this.history.present) this.sending = null;
    this.hasFailed = false;
    this.sending ??= this.nextSending();
    if (!this.sending) return this.settle();
    this.inFlight = true;
    if (this.saving.kind === "saved") this.saving = { kind: "saving" };
    this.tell();
    await this.send(this.sending);
  }

  private nextSending(): Sending | null {
    const entered = this.history.present;
    const saved = this.revision.dossier.case;
    const sent = settable(entered, saved, this.refusals);
    if (differences(sent, saved).length === 0) return null;
    const dossier = { ...this.revision.dossier, case: sent };
    return {
      entered,
      sent,
      follows: this.revision.number,
      dossier,
      key: this.parts.key(),
      leftOut: this.refusals,
    };
  }

  private async send(sending: Sending): Promise<void> {
    const { follows, dossier, key } = sending;
    try {
      const answer = await this.parts.save(this.revision.case_id, follows, dossier, key);
      this.inFlight = false;
      this.acknowledged(sending, answer);
    } catch (fault) {
      this.inFlight = false;
      await this.failed(sending, fault as Error);
    }
  }

  private acknowledged(sending: Sending, answer: Revision): void {
    if (answer.number > this.revision.number) this.revision = answer;
    this.sending = null;
    this.wait_ms = FIRST_WAIT_MS;
    const whole = sending.sent === sending.entered && this.history.present === sending.entered;
    if (whole) this.history = restated(this.history, answer.dossier.case);
    if (whole || this.history.present === sending.entered) this.settle();
    else {
      this.keepDraft();
      this.later(PAUSE_MS);
      this.tell();
    }
  }

  /** Nothing is left to send. */
  private settle(): void {
    if (this.refusals.length === 0) {
      this.parts.drafts.forget(this.revision.case_id);
      this.saving = { kind: "saved", at_ms: Date.parse(this.revision.saved_at) };
      for (const waiting of this.waiting.splice(0)) waiting.resolve(this.revision);
    } else {
      this.keepDraft();
      this.unsaved(this.refusals[0]?.sentence ?? "");
    }
    this.tell();
  }

  private async failed(sending: Sending, fault: Error): Promise<void> {
    if (mayPassLater(fault)) {
      this.hasFailed = fault instanceof RefusedError;
      return this.tryAgain(fault);
    }
    this.sending = null;
    if (fault instanceof RefusedError && fault.status === 409) return this.askTheirs();
    const told = fault instanceof RefusedError ? inCase(fault.refusals) : [];
    const found = asEntered(told, this.revision.dossier.case, sending.leftOut);
    const fresh = found.filter(
      (r) => !this.refusals.some((old) => old.path.join() === r.path.join()),
    );
    const standing = stillStanding(fresh, sending.entered, this.history.present);
    this.refusals = [...this.refusals, ...standing];
    if (fresh.length > 0) return this.push();
    this.unsaved(fault.message);
    this.tell();
  }

  private tryAgain(fault: Error): void {
    this.later(this.wait_ms);
    this.wait_ms = Math.min(2 * this.wait_ms, LONGEST_WAIT_MS);
    this.unsaved(fault instanceof RefusedError ? fault.message : "", "keep waiting");
    this.tell();
  }

  private unsaved(sentence: string, waiters: "give up" | "keep waiting" = "give up"): void {
    const since_ms = this.saving.kind === "unsaved" ? this.saving.since_ms : this.lastSaved_ms();
    this.saving = { kind: "unsaved", since_ms, sentence };
    if (waiters === "keep waiting") return;
    for (const waiting of this.waiting.splice(0)) waiting.reject(new Error(sentence));
  }

  private lastSaved_ms(): number {
    return Date.parse(this.revision.saved_at);
  }

  private whenSaved(): Promise<Revision> {
    const answer = new Promise<Revision>((resolve, reject) => {
      this.waiting.push({ resolve, reject });
    });
    void this.push();
    return answer;
  }

  // --- another's revision

  private adopt(revision: Revision): void {
    if (revision.number <= this.revision.number) return;
    this.meet(revision);
    this.tell();
  }

  private async askTheirs(): Promise<void> {
    try {
      this.meet(await this.parts.newest(this.revision.case_id));
      this.tell();
    } catch (fault) {
      this.tryAgain(fault as Error);
    }
  }

  /** Go on from a newer revision if its case is ours or ours is unchanged; else ask. */
  private meet(theirs: Revision): void {
    const base = this.revision.dossier.case;
    const isSame = differences(this.history.present, theirs.dossier.case).length === 0;
    const untouched = isSame || differences(base, this.history.present).length === 0;
    const follows = theirs.number > this.revision.number;
    const agrees = follows && differences(base, theirs.dossier.case).length === 0;
    if (untouched && !isSame) this.history = historyOf(theirs.dossier.case);
    if (!untouched && !agrees) {
      this.hold(theirs);
      return;
    }
    this.revision = theirs;
    if (untouched) this.settle();
    else this.later(PAUSE_MS);
  }

  private hold(theirs: Revision): void {
    this.theirs = theirs;
    this.saving = { kind: "conflict" };
    for (const waiting of this.waiting.splice(0)) waiting.reject(new Error("conflict"));
  }

  private resolve(choice: "mine" | "theirs" | "both"): void {
    const { theirs } = this;
    if (!theirs) return;
    const base = this.revision.dossier.case;
    const mine = this.history.present;
    const merged = both(base, mine, theirs.dossier.case) ?? mine;
    const next = { mine, theirs: theirs.dossier.case, both: merged }[choice];
    this.theirs = null;
    this.revision = theirs;
    this.saving = { kind: "saving" };
    this.history = changed(this.history, next, { name: "conflict", at_ms: this.parts.now_ms() });
    this.keepDraft();
    this.later(0);
    this.tell();
  }

  // --- what is shown

  private tell(): void {
    this.shown = this.stateNow();
    for (const listener of this.listeners) listener();
  }

  private stateNow(): EditorState {
    return {
      revision: this.revision,
      entered: this.history.present,
      saving: this.saving,
      refusals: this.refusals,
      conflict: this.conflictNow(),
      undo: this.history.past.at(-1)?.name ?? null,
      redo: this.history.future[0]?.name ?? null,
    };
  }

  private conflictNow(): Conflict | null {
    if (!this.theirs) return null;
    const mine = this.history.present;
    const theirs = this.theirs.dossier.case;
    const canKeepBoth =
      this.theirs.number > this.revision.number &&
      both(this.revision.dossier.case, mine, theirs) !== null;
    return { theirs: this.theirs, differing: differing(mine, theirs), canKeepBoth };
  }
}
