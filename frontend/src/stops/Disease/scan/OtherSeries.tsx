import { useSay } from "../../../i18n/say";
import { Note } from "../../../shell/Note";
import { Tag } from "../../../shell/Tag";
import type { StopProps } from "../../contract";
import { areOfAnother, clicksOf, withoutMarks, withSeries } from "./marks";

type OtherSeriesProps = Pick<StopProps, "entered" | "edit"> & { seriesUid: string };

/** The marks were made on another series: they go, or the surgeon says that they fit here too. */
export function OtherSeries({ entered, edit, seriesUid }: OtherSeriesProps) {
  const t = useSay("scan");
  if (!areOfAnother(clicksOf(entered), seriesUid)) return null;
  return (
    <Note title={<Tag kind="check" />}>
      <p>{t("other.what")}</p>
      <div className="scan-row">
        <button
          type="button"
          className="quiet"
          onClick={() => edit(t("other.remove"), withoutMarks)}
        >
          {t("other.remove")}
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => edit(t("other.keep"), (c) => withSeries(c, seriesUid))}
        >
          {t("other.keep")}
        </button>
      </div>
    </Note>
  );
}
