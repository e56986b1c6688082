import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import type { StopProps } from "../contract";

/** What came of it; until it is drawn, the way to where it is kept. */
export function Outcomes({ goTo }: StopProps) {
  const t = useSay("outcomes");
  const way = (
    <button type="button" className="outlined" onClick={() => goTo("healing")}>
      {t("to_healing")}
    </button>
  );
  return <Empty action={way}>{t("nothing_yet")}</Empty>;
}
