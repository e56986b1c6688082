import { useEffect, useState, useSyncExternalStore } from "react";
import { newKey, read, write } from "../api/client";
import { readCaseAnew } from "../api/queries";
import type { Revision } from "../api/records";
import { LET_IN } from "../api/session";
import { type Drafts, draftsIn } from "./drafts";
import { type Editor, type EditorState, openEditor, type Save } from "./editor";

const PLACE = "crena.window";

/** The editor of one open case, for as long as the component lives; `owner` is who types. */
export function useEditor(revision: Revision, owner: string): [Editor, EditorState] {
  const [editor] = useState(() => openCase(revision, owner));
  const state = useSyncExternalStore(editor.subscribe, editor.state);
  useEffect(() => {
    for (const news of [LET_IN, "online"]) window.addEventListener(news, editor.retry);
    return () => {
      for (const news of [LET_IN, "online"]) window.removeEventListener(news, editor.retry);
      editor.close();
    };
  }, [editor]);
  return [editor, state];
}

function openCase(revision: Revision, owner: string): Editor {
  return openEditor({
    revision,
    save,
    newest: (caseId) => read<Revision>(`/api/cases/${caseId}`),
    drafts: drafts(owner),
    key: newKey,
    now_ms: Date.now,
  });
}

const save: Save = async (caseId, follows, dossier, key) => {
  const path = `/api/cases/${caseId}`;
  const answer = await write<Revision>({ method: "PUT", path, body: dossier, follows, key });
  void readCaseAnew(caseId);
  return answer;
};

/** A reload is the same window, another tab is not. */
function drafts(owner: string): Drafts {
  const name = sessionStorage.getItem(PLACE) ?? newKey();
  sessionStorage.setItem(PLACE, name);
  return draftsIn(localStorage, name, owner);
}
