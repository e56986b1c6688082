import { useState } from "react";
import { layPaper, otherPaper, paperNow } from "../design/paper";
import { useSay } from "../i18n/say";

/** Light or dark paper; without a choice the device decides. */
export function PaperSwitch() {
  const t = useSay();
  const [paper, setPaper] = useState(paperNow);
  const other = otherPaper(paper);
  const change = () => {
    layPaper(other);
    setPaper(other);
  };
  return (
    <button type="button" className="quiet" onClick={change}>
      {t(`paper.${other}`)}
    </button>
  );
}
