import { useSay } from "../i18n/say";
import { Note } from "../shell/Note";
import { Tag } from "../shell/Tag";
import type { Moving } from "./useMoving";
import "./MoveTools.css";

/** What can be done to a plan without a handle, and the way back. */
export function MoveTools({ moving }: { moving: Moving }) {
  const t = useSay("moving");
  const { preview, refused, isMoved, canUndo, canRedo } = moving;
  return (
    <Note title={t(isMoved ? "moved" : "move")}>
      <p className="small">{t("how")}</p>
      <p className="move-refused" role="status">
        {refused ? (
          <>
            <Tag kind="stop">{t("not_so")}</Tag> <span lang="en">{refused}</span>
          </>
        ) : null}
      </p>
      <div className="move-tools">
        {preview?.also.map((kind) => (
          <button key={kind} type="button" className="quiet" onClick={() => moving.change(kind)}>
            {t(`do.${kind}`)}
          </button>
        ))}
      </div>
      <div className="move-tools">
        <button type="button" className="quiet" disabled={!canUndo} onClick={moving.undo}>
          {t("undo")}
        </button>
        <button type="button" className="quiet" disabled={!canRedo} onClick={moving.redo}>
          {t("redo")}
        </button>
        <button type="button" className="quiet" disabled={!isMoved} onClick={moving.putBack}>
          {t("put_back")}
        </button>
      </div>
    </Note>
  );
}
