import { type ReactNode, useEffect, useRef } from "react";
import { asTyped } from "../../api/records";
import { useSay } from "../../i18n/say";
import { NumberField } from "../../shell/NumberField";

const HELD_MS = 450;
const AGAIN_MS = 120;

type StepperProps = {
  label: string;
  unit: string;
  /** What the plan says: "planned 50 mm". */
  planned?: ReactNode;
  value: number | string | null;
  least?: number;
  /** Where minus and plus begin while nothing is entered. */
  begins?: number;
  sentence: ReactNode;
  hint?: ReactNode;
  onValue: (value: number) => void;
};

/** A reading with large minus and plus; it can be typed too. Holding repeats. */
export function Stepper(props: StepperProps) {
  const { label, unit, planned, value, least, begins, sentence, hint, onValue } = props;
  const t = useSay("theatre");
  const first = value === null ? begins : undefined;
  const isRead = typeof value === "number" || first !== undefined;
  const less = typeof value !== "number" || least === undefined || value > least;
  const by = (mm: number) => {
    if (first !== undefined) onValue(first);
    else if (typeof value === "number") onValue(value + mm);
  };
  return (
    <div className="stepper">
      <Step
        name={t("less", { what: label })}
        sign="−"
        off={!isRead || !less}
        onStep={() => by(-1)}
      />
      <NumberField
        label={
          <>
            {label} <span className="small">{planned}</span>
          </>
        }
        unit={unit}
        value={value}
        sentence={sentence}
        hint={hint}
        onType={(text) => onValue(asTyped(text))}
      />
      <Step name={t("more", { what: label })} sign="+" off={!isRead} onStep={() => by(1)} />
    </div>
  );
}

type StepProps = { name: string; sign: string; off: boolean; onStep: () => void };

function Step({ name, sign, off, onStep }: StepProps) {
  const { hold, letGo, click } = useHeld(onStep);
  return (
    <button
      type="button"
      className="outlined"
      aria-label={name}
      disabled={off}
      onClick={click}
      onPointerDown={hold}
      onPointerUp={letGo}
      onPointerLeave={letGo}
      onPointerCancel={letGo}
    >
      <span aria-hidden="true">{sign}</span>
    </button>
  );
}

/** Do something at a click, and again and again while the pointer is held down. */
function useHeld(action: () => void) {
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const newest = useRef(action);
  const repeated = useRef(false);
  newest.current = action;
  useEffect(() => () => clearTimeout(timer.current), []);
  const again = () => {
    repeated.current = true;
    newest.current();
    timer.current = setTimeout(again, AGAIN_MS);
  };
  return {
    hold: () => {
      repeated.current = false;
      timer.current = setTimeout(again, HELD_MS);
    },
    letGo: () => clearTimeout(timer.current),
    click: () => {
      if (!repeated.current) newest.current();
      repeated.current = false;
    },
  };
}
