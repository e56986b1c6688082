import { useState } from "react";
import { refusalOf, useMap } from "../../api/queries";
import type { KnownMap } from "../../api/records";
import { useSay } from "../../i18n/say";
import { Empty } from "../../shell/Empty";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { Apart } from "./Apart";
import "./Disease.css";
import { EntryPlan } from "./EntryPlan";
import { Findings } from "./Findings";
import { allMissing, MissingList } from "./MissingList";
import { PitEntries } from "./PitEntries";
import { isOperated, Operated, PlanButton } from "./PlanButton";
import { ScanPanel } from "./scan/ScanPanel";
import { type Thing, usePlacing } from "./usePlacing";

/** What is known of the disease: entered on the skin plan or as numbers, and the way to its plans. */
export function Disease(props: StopProps) {
  const t = useSay("disease");
  const { data: known, error } = useMap(props.revision.case_id);
  const placing = usePlacing(props, known);
  const [next, setNext] = useState<Thing | null>(null);
  const missing = allMissing(props.entered, known);
  return (
    <>
      <div className="sheet-head">
        <h1>{t("title")}</h1>
        <p className="small">{t("lead")}</p>
      </div>
      <div className="disease-sheet">
        <div className="disease-plan">
          {next ? <NextLine next={next} onLeave={() => setNext(null)} /> : null}
          {known ? (
            <EntryPlan
              {...props}
              known={known}
              placing={placing}
              next={next}
              onPlaced={() => setNext(null)}
            />
          ) : (
            <Empty>{error ? <Told>{refusalOf(error) ?? error.message}</Told> : t("reading")}</Empty>
          )}
          {known ? <Basis known={known} /> : null}
        </div>
        <div className="disease-entries">
          <BeforePlan {...props} known={known} missing={missing} />
          <PitEntries {...props} known={known} placing={placing} onNext={setNext} />
          <Findings {...props} />
        </div>
      </div>
      <ScanPanel {...props} />
      <PlanButton {...props} missing={missing.length} />
    </>
  );
}

type BeforePlanProps = StopProps & {
  known: KnownMap | undefined;
  missing: ReturnType<typeof allMissing>;
};

/** What is missing before a plan, or that none is made any more. */
function BeforePlan({ known, missing, ...props }: BeforePlanProps) {
  if (isOperated(props)) return <Operated />;
  return known ? <MissingList {...props} known={known} missing={missing} /> : null;
}

/** What the next tap on the drawing means, and the way out of it. */
function NextLine({ next, onLeave }: { next: Thing; onLeave: () => void }) {
  const t = useSay("disease");
  return (
    <p className="disease-next" role="status">
      <span>{t(`next_${next.kind}`)}</span>{" "}
      <button type="button" className="quiet" onClick={onLeave}>
        {t("leave_it")}
      </button>
    </p>
  );
}

/** Why there is no map, or what it rests on. */
function Basis({ known }: { known: KnownMap }) {
  const t = useSay("disease");
  if (!known.tract_map) return <p className="small">{t("no_map")}</p>;
  return (
    <>
      <Apart rows={known.tract_map.disagreements} />
      <ul className="small disease-basis">
        {known.tract_map.notes.map((note) => (
          <li key={note}>
            <Told>{note}</Told>
          </li>
        ))}
      </ul>
    </>
  );
}
