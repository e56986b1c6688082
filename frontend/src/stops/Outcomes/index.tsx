import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import type { StopProps } from "../contract";

export function Outcomes(_: StopProps) {
  const t = useSay("outcomes");
  return <Empty>{t("nothing_yet")}</Empty>;
}
