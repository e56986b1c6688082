import { useState } from "react";
import { newKey, type Refusal, RefusedError, write } from "../../api/client";
import type { Revision } from "../../api/records";
import { type Say, useSay } from "../../i18n/say";
import { go } from "../../routes";
import { SUBSTANCES } from "../../shell/Allergies";
import { DayField } from "../../shell/DayField";
import { said } from "../../shell/Field";
import { PrimaryButton } from "../../shell/PrimaryButton";
import { TextField } from "../../shell/TextField";
import { Told } from "../../shell/Told";
import { caseFrom, firstEntries, SIGNS } from "./entries";
import { Questions } from "./Questions";

type NewCaseProps = { today: string; onBack: () => void };

/** Who, when, acute signs and allergies: enough to begin, in under a minute. */
export function NewCase({ today, onBack }: NewCaseProps) {
  const t = useSay("cases");
  const [entries, setEntries] = useState(() => firstEntries(today));
  const [key] = useState(newKey);
  const [refused, setRefused] = useState<RefusedError | Error | null>(null);
  const refusals: readonly Refusal[] = refused instanceof RefusedError ? refused.refusals : [];
  const [isBirthUnread, setBirthUnread] = useState(false);
  const [isSeenUnread, setSeenUnread] = useState(false);
  const off = isBirthUnread || isSeenUnread ? t("new.wrong_day") : missing(entries, t);
  const put = (some: Partial<typeof entries>) => setEntries({ ...entries, ...some });
  const start = () => {
    write<Revision>({ method: "POST", path: "/api/cases", body: caseFrom(entries), key })
      .then((made) => go({ at: "case", caseId: made.case_id, stop: "disease" }))
      .catch(setRefused);
  };
  return (
    <>
      <div className="sheet-head">
        <button type="button" className="quiet" onClick={onBack}>
          {t("back")}
        </button>
        <h1>{t("new.title")}</h1>
        <p className="small">{t("new.label_rule")}</p>
      </div>
      <div className="new-case">
        <div className="new-case-who">
          <TextField
            label={t("new.label")}
            value={entries.label}
            sentence={said(refusals, ["patient", "label"])}
            onType={(label) => put({ label })}
          />
          <TextField
            label={t("new.identifier")}
            value={entries.identifier}
            sentence={said(refusals, ["patient", "identifier"])}
            onType={(identifier) => put({ identifier })}
          />
          <DayField
            label={t("new.birth_date")}
            value={entries.birthDate}
            latest={today}
            sentence={said(refusals, ["patient", "birth_date"])}
            onDay={(birthDate) => put({ birthDate })}
            onUnread={setBirthUnread}
          />
          <DayField
            label={t("new.seen_on")}
            value={entries.seenOn}
            latest={today}
            sentence={said(refusals, ["findings", "seen_on"])}
            onDay={(seenOn) => put({ seenOn })}
            onUnread={setSeenUnread}
          />
        </div>
        <Questions
          title={t("new.acute")}
          words="shell:acute"
          names={SIGNS}
          answers={entries.signs}
          onAnswer={(signs) => put({ signs })}
        />
        <Questions
          title={t("new.allergies")}
          words="shell:allergy"
          names={SUBSTANCES}
          answers={entries.allergies}
          onAnswer={(allergies) => put({ allergies })}
        />
      </div>
      {refused ? (
        <p role="alert">
          <Told>{refused.message}</Told>
        </p>
      ) : null}
      <PrimaryButton onPress={start} off={off}>
        {t("new.start")}
      </PrimaryButton>
    </>
  );
}

function missing(entries: ReturnType<typeof firstEntries>, t: Say): string | null {
  if (entries.label.trim() === "") return t("new.no_label");
  return entries.seenOn === null ? t("new.no_day") : null;
}
