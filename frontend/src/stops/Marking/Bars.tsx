import { useState } from "react";
import { write } from "../../api/client";
import { entrySentence, wholeSentence } from "../../api/entryFaults";
import type { Marking, PrintedBars, Revision } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Note } from "../../shell/Note";
import { NumberField } from "../../shell/NumberField";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { Tag } from "../../shell/Tag";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { LastIssued } from "./Printing";
import type { Issue } from "./useIssue";

type BarsProps = StopProps & { marking: Marking; issue: Issue };

const BARS = ["across", "along"] as const;

/** Print the template, measure its two bars, type them back: then the case is ready. */
export function Bars(props: BarsProps) {
  const { marking, issue, goTo } = props;
  const t = useSay("marking");
  if (marking.bars) {
    return (
      <>
        <Ready bars={marking.bars} plan={marking.plan} />
        <Again issue={issue} />
        <PrimaryButton onPress={() => goTo("theatre")}>{t("to_theatre")}</PrimaryButton>
      </>
    );
  }
  if (!marking.printed) {
    return (
      <Note title={t("bars_title")}>
        <p>{t("bars")}</p>
        <LastIssued issue={issue} />
        <PrimaryButton onPress={() => issue.print("template.pdf")}>{t("print")}</PrimaryButton>
      </Note>
    );
  }
  return <Measured {...props} />;
}

/** The two readings, as the ruler shows them. */
function Measured({ revision, refresh, issue }: BarsProps) {
  const t = useSay("marking");
  const [typed, setTyped] = useState({ across: "", along: "" });
  const [fault, setFault] = useState<Error | null>(null);
  const sentenceOn = (bar: string) => entrySentence(fault, `${bar}_mm`, "marking");
  const keep = async () => {
    const body = { across_mm: typed.across, along_mm: typed.along };
    try {
      await write<Revision>({ method: "POST", path: `/api/cases/${revision.case_id}/bars`, body });
      await refresh();
    } catch (refused) {
      setFault(refused as Error);
    }
  };
  const whole = wholeSentence(fault);
  const isMissing = BARS.some((bar) => typed[bar].trim() === "");
  return (
    <Note title={t("bars_title")}>
      <p>{t("bars")}</p>
      <form
        className="bars"
        onSubmit={(event) => {
          event.preventDefault();
          void keep();
        }}
      >
        {BARS.map((bar) => (
          <NumberField
            key={bar}
            label={t(bar)}
            unit="mm"
            value={typed[bar]}
            sentence={sentenceOn(bar)}
            onType={(text) => setTyped({ ...typed, [bar]: text })}
          />
        ))}
        <button type="submit" className="unseen" tabIndex={-1}>
          {t("keep_bars")}
        </button>
      </form>
      {fault && !whole ? <Tag kind="stop">{t("not_this_print")}</Tag> : null}
      {whole ? (
        <p role="alert">
          <Told>{whole}</Told>
        </p>
      ) : null}
      <Again issue={issue} />
      <PrimaryButton onPress={() => void keep()} off={isMissing ? t("type_bars") : null}>
        {t("keep_bars")}
      </PrimaryButton>
    </Note>
  );
}

function Again({ issue }: { issue: Issue }) {
  const t = useSay("marking");
  return (
    <div>
      <button type="button" className="quiet" onClick={() => issue.print("template.pdf")}>
        {t("print_again")}
      </button>
      <LastIssued issue={issue} />
    </div>
  );
}

function Ready({ bars, plan }: { bars: PrintedBars; plan: string }) {
  const t = useSay("marking");
  const shown = {
    across: measure(bars.across_mm, "mm", 1),
    along: measure(bars.along_mm, "mm", 1),
  };
  return (
    <Note title={t("ready")}>
      <p className="say">{t("ready_why", { plan })}</p>
      <p>{t("measured", shown)}</p>
    </Note>
  );
}
