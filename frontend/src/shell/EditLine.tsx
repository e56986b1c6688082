import type { Editor, EditorState } from "../editing/editor";
import { useSay } from "../i18n/say";
import { useOff } from "./rights";
import { SavedState } from "./SavedState";

/** The line under the strip: what is saved, what is not, and the way back. */
export function EditLine({ editor, state }: { editor: Editor; state: EditorState }) {
  const t = useSay();
  const off = useOff();
  const isUnsent = state.saving.kind === "unsaved" && state.refusals.length === 0;
  if (off) {
    return (
      <div className="page-line">
        <span>{off}</span>
      </div>
    );
  }
  return (
    <div className="page-line">
      <SavedState saving={state.saving} />
      {isUnsent ? (
        <>
          <span>{t("saved.kept")}</span>
          <button type="button" className="quiet" onClick={editor.retry}>
            {t("saved.retry")}
          </button>
        </>
      ) : null}
      <button type="button" className="quiet" disabled={state.undo === null} onClick={editor.undo}>
        {t("saved.undo")}
      </button>
      <button type="button" className="quiet" disabled={state.redo === null} onClick={editor.redo}>
        {t("saved.redo")}
      </button>
    </div>
  );
}
