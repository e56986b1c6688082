import { useSay } from "../i18n/say";

/** What must stand on every screen. */
export function Caution() {
  const t = useSay();
  return <p className="caution">{t("caution")}</p>;
}
