/** Where the page is: all cases, or one stop of one case. */

import { useSyncExternalStore } from "react";
import { STOPS, type StopName } from "./stops/contract";

export type Route = { at: "cases" } | { at: "case"; caseId: string; stop: StopName };

/** Read a route from the address; what is unknown leads to the cases. */
export function routeOf(hash: string): Route {
  const [, place, caseId, stop] = hash.replace(/^#/, "").split("/");
  if (place !== "case" || !caseId) return { at: "cases" };
  return { at: "case", caseId: decodeURIComponent(caseId), stop: isStop(stop) ? stop : "disease" };
}

export function hashOf(route: Route): string {
  return route.at === "cases" ? "#/" : `#/case/${encodeURIComponent(route.caseId)}/${route.stop}`;
}

export function go(route: Route): void {
  location.hash = hashOf(route);
}

export function useRoute(): Route {
  return routeOf(useSyncExternalStore(follow, () => location.hash));
}

function follow(tell: () => void): () => void {
  window.addEventListener("hashchange", tell);
  return () => window.removeEventListener("hashchange", tell);
}

function isStop(word: string | undefined): word is StopName {
  return (STOPS as readonly (string | undefined)[]).includes(word);
}
