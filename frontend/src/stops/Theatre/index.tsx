import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import type { StopProps } from "../contract";

export function Theatre(_: StopProps) {
  const t = useSay("theatre");
  return <Empty>{t("nothing_yet")}</Empty>;
}
