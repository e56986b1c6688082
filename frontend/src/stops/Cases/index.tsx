import { useState } from "react";
import { useHas } from "../../api/abilities";
import { todayIso } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Fold } from "../../shell/Fold";
import { Note, Notes } from "../../shell/Note";
import { Page } from "../../shell/Page";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { NeededContext } from "../../shell/rights";
import { CaseList } from "./CaseList";
import { Demonstration } from "./Demonstration";
import { DueToday } from "./DueToday";
import { NewCase } from "./NewCase";
import { Sketch } from "./Sketch";
import "./Cases.css";

type View = "list" | "new" | "sketch";

/** All cases, what is due today, and the ways to begin. */
export function Cases() {
  const t = useSay("cases");
  const [view, setView] = useState<View>("list");
  const back = () => setView("list");
  return (
    <Page open={null} today={todayIso()} foot={<p className="small">{t("foot")}</p>}>
      {view === "list" ? (
        <Overview onNew={() => setView("new")} onSketch={() => setView("sketch")} />
      ) : null}
      {view === "new" ? <NewCase today={todayIso()} onBack={back} /> : null}
      {view === "sketch" ? <Sketch today={todayIso()} onBack={back} /> : null}
    </Page>
  );
}

type OverviewProps = { onNew: () => void; onSketch: () => void };

function Overview({ onNew, onSketch }: OverviewProps) {
  const t = useSay("cases");
  const [hasDue, hasSketch] = [useHas("/api/due"), useHas("/api/sketch")];
  return (
    <div className="drawing-and-notes">
      <div className="cases-column">
        {hasDue ? <DueToday /> : null}
        <CaseList />
      </div>
      <Notes>
        <Note title={t("new.offer")}>
          <p>{t("new.what")}</p>
        </Note>
        {hasSketch ? <SketchOffer onSketch={onSketch} /> : null}
        <Note title={t("demonstration.offer")}>
          <NeededContext.Provider value="plan">
            <Demonstration />
          </NeededContext.Provider>
        </Note>
        <Fold title={t("kept.title")}>
          <p className="small">{t("kept.what")}</p>
        </Fold>
      </Notes>
      <NeededContext.Provider value="plan">
        <PrimaryButton onPress={onNew}>{t("new.open")}</PrimaryButton>
      </NeededContext.Provider>
    </div>
  );
}

function SketchOffer({ onSketch }: { onSketch: () => void }) {
  const t = useSay("cases");
  return (
    <Note title={t("sketch.offer")}>
      <p>{t("sketch.what")}</p>
      <button type="button" className="quiet" onClick={onSketch}>
        {t("sketch.open")}
      </button>
    </Note>
  );
}
