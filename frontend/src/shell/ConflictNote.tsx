import type { Conflict, Editor } from "../editing/editor";
import { clock } from "../i18n/figures";
import { useSay } from "../i18n/say";
import "./ConflictNote.css";

const SHOWN = 12;

/** Two versions of one case, side by side; one is chosen, none is dropped silently. */
export function ConflictNote({ conflict, editor }: { conflict: Conflict; editor: Editor }) {
  const t = useSay();
  const { theirs, differing } = conflict;
  const who = {
    by: theirs.author.by,
    number: theirs.number,
    time: clock(Date.parse(theirs.saved_at)),
  };
  return (
    <section className="conflict" aria-labelledby="conflict-title">
      <h2 id="conflict-title">{t("conflict.title")}</h2>
      <p>{t("conflict.who", who)}</p>
      <table>
        <thead>
          <tr>
            <th>{t("conflict.place")}</th>
            <th>{t("conflict.mine")}</th>
            <th>{t("conflict.theirs")}</th>
          </tr>
        </thead>
        <tbody>
          {differing.slice(0, SHOWN).map(({ path, mine, theirs: other }) => (
            <tr key={path.join(".")}>
              <th scope="row">{path.map(spelt).join(", ")}</th>
              <td>{said(mine, t("conflict.empty"))}</td>
              <td>{said(other, t("conflict.empty"))}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {differing.length > SHOWN ? (
        <p className="small">{t("conflict.more", { count: differing.length - SHOWN })}</p>
      ) : null}
      <p className="conflict-ways">
        {conflict.canKeepBoth ? (
          <button type="button" className="outlined" onClick={() => editor.resolve("both")}>
            {t("conflict.keep_both")}
          </button>
        ) : null}
        <button type="button" className="outlined" onClick={() => editor.resolve("mine")}>
          {t("conflict.keep_mine")}
        </button>
        <button type="button" className="outlined" onClick={() => editor.resolve("theirs")}>
          {t("conflict.take_theirs")}
        </button>
        <span className="small">{t("conflict.undo")}</span>
      </p>
    </section>
  );
}

/** A place as people count: entries from 1, names without their joints. */
function spelt(key: string | number): string {
  return typeof key === "number" ? String(key + 1) : key.replaceAll("_", " ");
}

function said(value: unknown, nothing: string): string {
  if (value === null || value === undefined || value === "") return nothing;
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}
