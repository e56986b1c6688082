import { useState } from "react";
import type { OperationRecord } from "../../api/records";
import { readClock } from "../../i18n/dayTexts";
import { isSaid, useSay } from "../../i18n/say";
import { useTyped } from "../../shell/useTyped";
import { byTime, type InTheatre, stamped } from "./operation";

type Timed = NonNullable<OperationRecord["steps"]>[number];

/** The steps of the operation: one tap stamps the time, a second asks before it takes it back. */
export function Steps({ start, operation, record }: InTheatre) {
  const t = useSay("theatre");
  const done = operation?.steps ?? [];
  const words = useStepWords(start.steps);
  const stamp = (step: string) =>
    record(t("steps.stamp", { step: words(step) }), (op) => stamped(op, step));
  const put = (index: number, timed: Timed | null) =>
    record(t("steps.change"), (op) => {
      const kept = (op.steps ?? []).flatMap((each, n) =>
        n === index ? (timed ? [timed] : []) : [each],
      );
      return { ...op, steps: kept.length > 0 ? byTime(kept) : null };
    });
  const names = [
    ...start.steps.map((step) => step.words),
    ...done.map((each) => each.step).filter((step) => !start.steps.some((s) => s.words === step)),
  ];
  return (
    <>
      <ul className="steps">
        {names.map((step) => {
          const index = done.findIndex((each) => each.step === step);
          return (
            <Step
              key={step}
              words={words(step)}
              timed={done[index] ?? null}
              onStamp={() => stamp(step)}
              onPut={(timed) => put(index, timed)}
            />
          );
        })}
      </ul>
      <OwnStep onStamp={stamp} />
    </>
  );
}

/** The first step that has no time yet, or nothing. */
export function nextStep({ start, operation }: InTheatre): string | null {
  const done = new Set(operation?.steps?.map((each) => each.step));
  return start.steps.find((step) => !done.has(step.words))?.words ?? null;
}

/** A recorded step in the reader's language; one's own words stay as they are. */
export function useStepWords(steps: InTheatre["start"]["steps"]): (step: string) => string {
  const t = useSay("theatre");
  return (words) => {
    const code = steps.find((step) => step.words === words)?.code ?? "";
    return code && isSaid(`theatre:step.${code}`) ? t(`step.${code}`) : words;
  };
}

type StepProps = {
  words: string;
  timed: Timed | null;
  onStamp: () => void;
  onPut: (timed: Timed | null) => void;
};

function Step({ words, timed, onStamp, onPut }: StepProps) {
  const t = useSay("theatre");
  const [isAsking, setAsking] = useState(false);
  const tap = () => (timed ? setAsking(true) : onStamp());
  return (
    <li className={timed ? "step step-done" : "step"}>
      <button type="button" className="step-tap" aria-pressed={timed !== null} onClick={tap}>
        <svg className="step-box" width="40" height="40" viewBox="0 0 40 40" aria-hidden="true">
          <rect x="2" y="2" width="36" height="36" rx="4" />
          {timed ? <path d="M11 20l6 7l12 -14" /> : null}
        </svg>
        <span>{words}</span>
        {timed ? null : <span className="small">{t("steps.tap")}</span>}
      </button>
      {timed ? (
        <StepTime
          label={t("steps.time", { step: words })}
          at={timed.at.slice(0, 5)}
          onAt={(at) => onPut({ ...timed, at })}
        />
      ) : null}
      {isAsking && timed ? (
        <p className="step-ask" role="alert">
          {t("steps.ask", { step: words })}
          <button
            type="button"
            className="quiet"
            onClick={() => {
              setAsking(false);
              onPut(null);
            }}
          >
            {t("steps.take_back")}
          </button>
          <button type="button" className="quiet" onClick={() => setAsking(false)}>
            {t("steps.keep")}
          </button>
        </p>
      ) : null}
    </li>
  );
}

type StepTimeProps = { label: string; at: string; onAt: (at: string) => void };

/** When a step was done, on a clock of 24 hours. */
function StepTime({ label, at, onAt }: StepTimeProps) {
  const t = useSay("theatre");
  const typed = useTyped({
    value: at,
    show: (clock) => clock,
    read: readClock,
    onRead: (clock) => clock && onAt(clock),
  });
  return (
    <span className="step-clock">
      <input
        {...typed.handlers}
        type="text"
        inputMode="numeric"
        autoComplete="off"
        className="step-time"
        aria-label={label}
        aria-invalid={typed.isUnread}
        value={typed.text}
      />
      {typed.isUnread ? (
        <span className="small" role="status">
          {t("steps.unread")}
        </span>
      ) : null}
    </span>
  );
}

/** A step of one's own words. */
function OwnStep({ onStamp }: { onStamp: (step: string) => void }) {
  const t = useSay("theatre");
  const [typed, setTyped] = useState("");
  const words = typed.trim();
  return (
    <form
      className="own-step field"
      onSubmit={(event) => {
        event.preventDefault();
        if (words) onStamp(words);
        setTyped("");
      }}
    >
      <label htmlFor="own-step">{t("steps.own")}</label>
      <span className="field-line">
        <input
          id="own-step"
          type="text"
          maxLength={80}
          autoComplete="off"
          value={typed}
          onChange={(event) => setTyped(event.target.value)}
        />
        <button type="submit" className="outlined" disabled={words === ""}>
          {t("steps.now")}
        </button>
      </span>
    </form>
  );
}
