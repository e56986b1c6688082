/** What the page reads of the server, by name; what depends on a case is read anew after a save. */

import { QueryClient, useQuery } from "@tanstack/react-query";
import { useHas } from "./abilities";
import { RefusedError, read, UnreachableError } from "./client";
import type {
  CaseLine,
  DiseaseShape,
  HealingPlan,
  Job,
  KnownMap,
  Marking,
  PlanSet,
  Revision,
  Road,
  SkinFilm,
} from "./records";

const RETRIES = 3;

export const queries = new QueryClient({
  defaultOptions: {
    queries: {
      // What was read last stays on the page while the server is away.
      networkMode: "always",
      staleTime: 30_000,
      retry: (count, fault) => fault instanceof UnreachableError && count < RETRIES,
    },
  },
});

/** Everything read of one case is old now. */
export function readCaseAnew(caseId: string): Promise<void> {
  return queries.invalidateQueries({ queryKey: ["of case", caseId] });
}

export function useCases(words: string) {
  const path = `/api/cases?words=${encodeURIComponent(words)}`;
  return useQuery({
    queryKey: ["cases", words],
    queryFn: ({ signal }) => read<CaseLine[]>(path, signal),
    placeholderData: (before) => before,
  });
}

export function useRevision(caseId: string) {
  return useQuery({
    queryKey: ["revision", caseId],
    queryFn: ({ signal }) => read<Revision>(`/api/cases/${caseId}`, signal),
    staleTime: Number.POSITIVE_INFINITY,
    gcTime: 0,
  });
}

export const useMap = (caseId: string) => useOfCase<KnownMap>(caseId, "map");
export const useHealing = (caseId: string) => useOfCase<HealingPlan>(caseId, "healing");

export function useRoad(caseId: string) {
  return useOfCase<Road>(caseId, "road", useHas("/api/cases/{case_id}/road"));
}

/** The plans that a revision has; nothing is asked for while it has none. */
export function usePlans({ case_id, dossier }: Revision) {
  return useOfCase<PlanSet>(case_id, "plans", dossier.plans !== null);
}

const FILM_ASKED_AGAIN_MS = 700;

/** The film of a plan of one plan set; while it is being computed, the job that does it. */
export function useFilm(caseId: string, code: string, letter: string, asks: boolean) {
  return useQuery({
    enabled: asks,
    queryKey: ["film", caseId, code, letter],
    queryFn: ({ signal }) =>
      read<SkinFilm | Job>(`/api/cases/${caseId}/plans/${letter}/film`, signal),
    staleTime: Number.POSITIVE_INFINITY,
    refetchInterval: ({ state }) => (isJob(state.data) ? FILM_ASKED_AGAIN_MS : false),
  });
}

export function isJob(answer: SkinFilm | Job | undefined): answer is Job {
  return answer !== undefined && "job_id" in answer;
}

/** What is signed, printed and measured of a case that has plans. */
export function useMarking({ case_id, dossier }: Revision) {
  return useOfCase<Marking>(case_id, "marking", dossier.plans !== null);
}

/**
 * The disease as outlines to draw; with a margin, the distance asked for round it.
 *
 * With the code of plans it is the disease that these were made for, and never that of others;
 * without one, the map as known now.
 */
export function useDiseaseShape(caseId: string, code: string | null, margin_mm?: number) {
  const asked = new URLSearchParams();
  if (margin_mm !== undefined) asked.set("margin_mm", String(margin_mm));
  if (code !== null) asked.set("code", code);
  const path = `/api/cases/${caseId}/${code === null ? "map" : "plans"}/shape?${asked}`;
  return useQuery({
    queryKey: ["of case", caseId, "shape", code, margin_mm ?? null],
    queryFn: ({ signal }) => read<DiseaseShape>(path, signal),
    placeholderData: (before, query) => (query?.queryKey[3] === code ? before : undefined),
  });
}

/** The plans that were made in theatre; nothing is asked for while there are none. */
export function useTheatrePlans({ case_id, dossier }: Revision) {
  return useOfCase<PlanSet>(case_id, "theatre/plans", dossier.theatre !== null);
}

/** What the server answers below a case; a refusal is an answer and not asked for again. */
export function useOfCase<T>(caseId: string, what: string, asks: boolean = true) {
  return useQuery({
    enabled: asks,
    queryKey: ["of case", caseId, what],
    queryFn: ({ signal }) => read<T>(`/api/cases/${caseId}/${what}`, signal),
    placeholderData: (before) => before,
  });
}

/** Put an answer below a case that came another way, for instance with a job's changes. */
export async function putOfCase<T>(caseId: string, what: string, answer: T): Promise<void> {
  const queryKey = ["of case", caseId, what];
  await queries.cancelQueries({ queryKey });
  queries.setQueryData(queryKey, answer);
}

/** The server's sentence why something is not there, or nothing. */
export function refusalOf(fault: Error | null): string | null {
  return fault instanceof RefusedError ? fault.message : null;
}
