import type { Editor, EditorState } from "../editing/editor";
import { useSay } from "../i18n/say";
import type { StopName } from "../stops/contract";
import { stopOf } from "../stops/stopOf";
import { useOff } from "./rights";
import { SavedState } from "./SavedState";

type EditLineProps = {
  editor: Editor;
  state: EditorState;
  here: StopName;
  goTo: (stop: StopName) => void;
};

/** The line under the strip: what is saved, what is not and where it stands, and the way back. */
export function EditLine({ editor, state, here, goTo }: EditLineProps) {
  const t = useSay();
  const off = useOff();
  const [first] = state.refusals;
  const refused = first ? stopOf(first.path) : null;
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
      {refused && refused !== here ? (
        <button type="button" className="quiet" onClick={() => goTo(refused)}>
          {t("saved.go", { stop: t(`stops.${refused}`) })}
        </button>
      ) : null}
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
