import type { Marking } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { useSideWord } from "../../shell/sides";

/** What is done with the sheet on the skin, step by step. */
export function OnSkin({ marking }: { marking: Marking }) {
  const t = useSay("marking");
  const word = useSideWord();
  const { points, between } = marking.ruler;
  const [first, second] = [points[0]?.name ?? "", points[1]?.name ?? ""];
  const last = points.at(-1)?.name ?? "";
  const side = marking.flap_from;
  return (
    <Note title={t("on_skin.title")}>
      <ol className="on-skin">
        <li>{t("on_skin.standing")}</li>
        <li>{t("on_skin.lay")}</li>
        <li>{side ? t("on_skin.read", { side: word(side) }) : t("on_skin.read_none")}</li>
        <li>{t("on_skin.prick", { first, last })}</li>
        <li>{t("on_skin.check", { edge: `${first}–${second}`, length: between[1]?.[0] ?? "" })}</li>
      </ol>
    </Note>
  );
}
