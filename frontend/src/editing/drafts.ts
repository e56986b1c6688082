/** Entries that the server has not acknowledged, kept in this browser so that a reload finds them. */

import type { Case } from "../api/records";

const PREFIX = "crena.draft.";

export type Draft = {
  caseId: string;
  /** The revision that the entries started from. */
  basedOn: number;
  entered: Case;
  /** When the last of them was made, milliseconds. */
  at_ms: number;
};

export type Drafts = {
  keep: (draft: Draft) => void;
  /** The newest draft of this case, of this window first. */
  find: (caseId: string) => Draft | null;
  forget: (caseId: string) => void;
};

/**
 * Drafts of one window; another window of the same browser has other names.
 *
 * In a department they belong to an account: nobody takes up what another one typed.
 */
export function draftsIn(storage: Storage, window: string, owner: string = ""): Drafts {
  const head = owner === "" ? PREFIX : `${PREFIX}${owner}.`;
  const own = (caseId: string) => `${head}${caseId}.${window}`;
  let adopted: string | null = null;

  function find(caseId: string): Draft | null {
    const mine = draftAt(storage, own(caseId));
    if (mine) return mine;
    const others = namesOf(storage, `${head}${caseId}.`).flatMap((name) => {
      const draft = draftAt(storage, name);
      return draft ? [{ name, draft }] : [];
    });
    const [newest] = others.sort((a, b) => b.draft.at_ms - a.draft.at_ms);
    adopted = newest?.name ?? null;
    return newest?.draft ?? null;
  }

  function forget(caseId: string): void {
    storage.removeItem(own(caseId));
    if (adopted) storage.removeItem(adopted);
    adopted = null;
  }

  function keep(draft: Draft): void {
    try {
      storage.setItem(own(draft.caseId), JSON.stringify(draft));
    } catch {
      // A browser that is full or keeps nothing must not stop anybody from typing and saving.
    }
  }

  return {
    keep,
    find,
    forget,
  };
}

function namesOf(storage: Storage, head: string): string[] {
  const names = Array.from({ length: storage.length }, (_, i) => storage.key(i) ?? "");
  return names.filter((name) => name.startsWith(head));
}

function draftAt(storage: Storage, name: string): Draft | null {
  const text = storage.getItem(name);
  if (text === null) return null;
  try {
    return JSON.parse(text) as Draft;
  } catch {
    return null;
  }
}
