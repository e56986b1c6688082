import type { Saving } from "../editing/editor";
import { clock } from "../i18n/figures";
import { type Say, useSay } from "../i18n/say";
import { toldText } from "../i18n/told";

/** "Saved 10:31", "Saving", or since when not. */
export function SavedState({ saving }: { saving: Saving }) {
  const t = useSay();
  return (
    <span className="saved-state" role="status">
      {saving.kind === "unsaved" ? <b>{unsaved(saving, t)}</b> : plain(saving, t)}
    </span>
  );
}

function plain(saving: Saving, t: Say): string {
  if (saving.kind === "saved") return t("saved.saved", { time: clock(saving.at_ms) });
  return saving.kind === "conflict" ? t("saved.conflict") : t("saved.saving");
}

function unsaved(saving: Extract<Saving, { kind: "unsaved" }>, t: Say): string {
  const { since_ms, sentence } = saving;
  const time = clock(since_ms);
  return sentence
    ? t("saved.unsaved_why", { time, sentence: toldText(sentence) })
    : t("saved.unsaved", { time });
}
