import { useState } from "react";
import { type Refusal, RefusedError, write } from "../../api/client";

type Check<Answer> = {
  answer: Answer | null;
  refusals: readonly Refusal[];
  /** The sentence that belongs to no field. */
  sentence: string | null;
  ask: (body: unknown) => void;
  /** Another dose: what was said of the last one is gone. */
  forget: () => void;
};

/** Ask the server about a dose; nothing is stored. */
export function useCheck<Answer>(path: string): Check<Answer> {
  const [answer, setAnswer] = useState<Answer | null>(null);
  const [fault, setFault] = useState<Error | null>(null);
  const forget = () => {
    setAnswer(null);
    setFault(null);
  };
  const ask = (body: unknown) => {
    forget();
    write<Answer>({ method: "POST", path, body }).then(setAnswer, setFault);
  };
  const refusals = fault instanceof RefusedError ? fault.refusals : [];
  const sentence = fault && refusals.length === 0 ? fault.message : null;
  return { answer, refusals, sentence, ask, forget };
}
