import { lazy, Suspense, useState } from "react";
import type { ScanMap } from "../../../api/records";
import { useSay } from "../../../i18n/say";

const TractScene = lazy(async () => ({
  default: (await import("../../../scene/TractScene")).TractScene,
}));

/** The tracts in space, loaded when they are asked for. */
export function Space({ found }: { found: ScanMap }) {
  const t = useSay("scan");
  const [isShown, show] = useState(false);
  if (!isShown) {
    return (
      <button type="button" className="quiet" onClick={() => show(true)}>
        {t("space.show")}
      </button>
    );
  }
  return (
    <>
      <h3>{t("space.title")}</h3>
      <p className="small">{t("space.lead")}</p>
      <Suspense fallback={<p>{t("add.reading")}</p>}>
        <TractScene found={found} />
      </Suspense>
    </>
  );
}
