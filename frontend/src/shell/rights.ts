/** What whoever is logged in may do: the server decides, the page says it beforehand. */

import { createContext, useContext } from "react";
import type { Role, Session } from "../api/records";
import { useSay } from "../i18n/say";

const EVERYTHING: readonly Role[] = ["read", "follow up", "plan", "administer"];

/** On a laptop there is one person, who may do everything. */
export const WHOEVER: Session = {
  mode: "laptop",
  name: "",
  may: [...EVERYTHING],
  locks_after: 0,
  locked_minutes: 0,
};

export const WhoContext = createContext<Session>(WHOEVER);

/** The right that changes need on this part of the page; nothing: none. */
export const NeededContext = createContext<Role | null>(null);

export function useWho(): Session {
  return useContext(WhoContext);
}

/** The name that entries kept in this browser belong to; empty on a laptop. */
export function ownerOf(who: Session): string {
  return who.mode === "department" ? who.name : "";
}

/** Why nothing can be changed here, or nothing if it can. */
export function useOff(): string | null {
  const t = useSay();
  const { may } = useWho();
  const needed = useContext(NeededContext);
  if (needed === null || may.includes(needed)) return null;
  const last = may.at(-1);
  return t("rights.off", { needed: t(`rights.${needed}`), has: last ? t(`rights.${last}`) : "" });
}
