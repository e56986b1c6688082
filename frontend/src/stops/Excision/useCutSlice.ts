import { useEffect, useMemo, useState } from "react";
import { ask } from "../../api/client";
import { Newest } from "../../api/newest";
import type { CutSlice, Limits } from "../../api/records";
import type { Moves } from "../../moving/moves";
import type { Looking } from "../../scan/looking";
import { pixelOf } from "../../scan/slices";

type Question = {
  plan: string;
  code: string;
  moves: Moves;
  limits: Limits;
  view: string;
  slice_number: number;
};

/** What is known of a slice: its cut, or the server's reason why there is none. */
export type SeenSlice = { cut: CutSlice | null; refused: string | null };

type Asked = Omit<Question, "view" | "slice_number"> & {
  /** Nothing is asked for until it is known what to ask. */
  asks: boolean;
  /** The state of the case that was saved last: it is asked again after each. */
  saved: number;
};

/**
 * The cut on the slice that is looked at; it follows the hand, and only the newest is asked for.
 *
 * What was drawn last stays while the same slice is drawn anew, and never lies on another slice.
 */
export function useCutSlice(
  caseId: string,
  { asks, saved, ...asked }: Asked,
  look: Looking,
): SeenSlice {
  const [heard, hear] = useState<SeenSlice & { on: string }>({ cut: null, refused: null, on: "" });
  const newest = useMemo(
    () =>
      new Newest<Question, CutSlice>(
        (question) => ask(`/api/cases/${caseId}/preview/slice`, question),
        {
          onAnswer: (cut, question) => hear({ cut, refused: null, on: nameOf(question) }),
          onFault: (fault, question) =>
            hear({ cut: null, refused: fault.message, on: nameOf(question) }),
        },
      ),
    [caseId],
  );
  useEffect(() => {
    newest.open();
    return () => newest.close();
  }, [newest]);

  const { slice } = pixelOf(look.view, look.cursor);
  const question: Question = { ...asked, view: look.view.name, slice_number: slice };
  const text = JSON.stringify(question);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a saved case is asked about anew
  useEffect(() => {
    if (asks) newest.ask(JSON.parse(text) as Question);
  }, [newest, text, asks, saved]);
  return heard.on === nameOf(question) ? heard : { cut: null, refused: null };
}

function nameOf({ code, plan, view, slice_number }: Question): string {
  return `${code} ${plan} ${view} ${slice_number}`;
}
