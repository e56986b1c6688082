import type { Case } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Note } from "../../shell/Note";
import { AnaestheticCheck } from "./AnaestheticCheck";
import { DyeCheck } from "./DyeCheck";

/** Doses held against what is customary; a check, never a prescription. */
export function Checks({ entered }: { entered: Case }) {
  const t = useSay("healing");
  return (
    <Note title={t("check.title")}>
      <p className="small">{t("check.what")}</p>
      <Fold title={t("check.anaesthetic")}>
        <AnaestheticCheck entered={entered} />
      </Fold>
      <Fold title={t("check.dye")}>
        <DyeCheck entered={entered} />
      </Fold>
    </Note>
  );
}
