import { useEffect, useRef, useState } from "react";
import { RefusedError, write } from "../../api/client";
import type { Case, KnownMap } from "../../api/records";
import type { Path } from "../../editing/paths";
import { say } from "../../i18n/say";
import type { Point } from "../../plan/paper";
import type { StopProps } from "../contract";
import { isOpen, withEntries } from "./entries";

/** What can be placed on the drawing. */
export type Thing =
  | { kind: "pit"; index: number }
  | { kind: "tip"; index: number }
  | { kind: "verge" };

export type Placing = {
  /** Where a thing was put that the map does not show yet. */
  pending: Readonly<Record<string, Point>>;
  /** Why a thing could not be put where it was pointed. */
  refused: Readonly<Record<string, string>>;
  place: (thing: Thing, at: Point) => Promise<void>;
};

export function keyOf(thing: Thing): string {
  return thing.kind === "verge" ? "verge" : `${thing.kind} ${thing.index}`;
}

/** Places pointed at become entries: the server says which, the newest place counts. */
export function usePlacing(props: StopProps, known: KnownMap | undefined): Placing {
  const { edit, entered, revision, saving } = props;
  const [pending, setPending] = useState<Record<string, Point>>({});
  const [refused, setRefused] = useState<Record<string, string>>({});
  const asked = useRef<Record<string, number>>({});
  const isShown = known?.number === revision.number && saving.kind !== "saving";
  // biome-ignore lint/correctness/useExhaustiveDependencies: another map shows what was placed
  useEffect(() => {
    if (isShown) setPending({});
  }, [isShown, known]);

  async function place(thing: Thing, at: Point): Promise<void> {
    const key = keyOf(thing);
    if (thing.kind === "tip" && isOpen(entered.probings[thing.index]?.tip_depth_mm)) {
      setRefused((others) => ({ ...others, [key]: say("disease", "depth_first") }));
      return;
    }
    const turn = (asked.current[key] ?? 0) + 1;
    asked.current[key] = turn;
    setPending((others) => ({ ...others, [key]: at }));
    try {
      const { path, body } = asking(thing, at, entered, revision.case_id);
      const entries = await write<object>({ method: "POST", path, body });
      if (asked.current[key] !== turn) return;
      setRefused((others) => leftOut(others, key));
      edit(
        key,
        (c) => {
          const next = withEntries(c, placeOf(thing), entries);
          if (next === c) setPending((others) => leftOut(others, key));
          return next;
        },
        key,
      );
    } catch (fault) {
      setPending((others) => leftOut(others, key));
      setRefused((others) => ({ ...others, [key]: sentenceOf(fault as Error) }));
    }
  }
  return { pending, refused, place };
}

/** Where the entries of a thing stand in the case. */
function placeOf(thing: Thing): Path {
  if (thing.kind === "verge") return ["body"];
  return [thing.kind === "pit" ? "pits" : "probings", thing.index];
}

/** The question to the server: which entries say that a thing lies here? */
function asking(thing: Thing, [across_mm, along_mm]: Point, entered: Case, caseId: string) {
  const at = { across_mm, along_mm };
  if (thing.kind === "pit") return { path: "/api/entries/pit", body: at };
  if (thing.kind === "verge") return { path: "/api/entries/anal-verge", body: at };
  const probing = entered.probings[thing.index];
  const pit = entered.pits.find(({ name }) => name === probing?.pit);
  const body = {
    at,
    pit,
    tip_depth_mm: probing?.tip_depth_mm,
    body: entered.body,
    case_id: caseId,
  };
  return { path: "/api/entries/tip", body };
}

function sentenceOf(fault: Error): string {
  const first = fault instanceof RefusedError ? fault.refusals[0] : undefined;
  return first?.sentence || fault.message;
}

function leftOut<T>(others: Record<string, T>, key: string): Record<string, T> {
  return Object.fromEntries(Object.entries(others).filter(([name]) => name !== key));
}
