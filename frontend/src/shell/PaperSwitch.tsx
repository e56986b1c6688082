import { layPaper, otherPaper } from "../design/paper";
import { usePaper } from "../design/usePaper";
import { useSay } from "../i18n/say";

/** Light or dark paper; without a choice the device decides. */
export function PaperSwitch() {
  const t = useSay();
  const other = otherPaper(usePaper());
  return (
    <button type="button" className="quiet" onClick={() => layPaper(other)}>
      {t(`paper.${other}`)}
    </button>
  );
}
