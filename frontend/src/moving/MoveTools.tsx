import type { MoveKind } from "../api/records";
import { useSay } from "../i18n/say";
import type { Moving } from "./useMoving";
import "./MoveTools.css";

type MoveToolsProps = {
  moving: Moving;
  /** Only what changes the cut. */
  cutOnly?: boolean;
};

const OF_THE_FLAP: readonly MoveKind[] = ["other side", "other hinge"];

/** What can be done to a plan without a handle, and the way back. */
export function MoveTools({ moving, cutOnly = false }: MoveToolsProps) {
  const t = useSay("moving");
  const { preview, isMoved, canUndo, canRedo } = moving;
  const also = (preview?.also ?? []).filter((kind) => !(cutOnly && OF_THE_FLAP.includes(kind)));
  return (
    <section className="move-room">
      <h2>{t(isMoved ? "moved" : "move")}</h2>
      <p className="small">{t("how")}</p>
      <div className="move-tools">
        {also.map((kind) => (
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
    </section>
  );
}
