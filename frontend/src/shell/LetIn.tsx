import { type ReactNode, useEffect, useState } from "react";
import { onStranger, RefusedError } from "../api/client";
import type { Session } from "../api/records";
import { askWhoIsIn, useSession } from "../api/session";
import { todayIso } from "../i18n/figures";
import { useSay } from "../i18n/say";
import { Empty } from "./Empty";
import { LogIn } from "./LogIn";
import { Page } from "./Page";
import { WHOEVER, WhoContext } from "./rights";

const NOT_KNOWN = 401;

/**
 * The page for whoever the server knows; others log in, or hear how to get in.
 *
 * When a session ends, what is open stays as it is but out of sight until the same person is back;
 * for somebody else the page begins anew.
 */
export function LetIn({ children }: { children: ReactNode }) {
  const { door, who } = useDoor();
  const [first, setFirst] = useState<string | null>(null);
  useEffect(() => onStranger(askWhoIsIn), []);
  useEffect(() => {
    if (door !== "open") return;
    if (first === null) setFirst(who.name);
    else if (first !== who.name) location.reload();
  }, [door, first, who.name]);
  const isIn = door === "open" && (first ?? who.name) === who.name;
  return (
    <WhoContext.Provider value={{ ...who, name: first ?? who.name }}>
      {door === "unknown" ? <NotLetIn /> : null}
      {door === "shut" ? <LogIn wasIn={first !== null} /> : null}
      {door === "open" || first !== null ? <div hidden={!isIn}>{children}</div> : null}
    </WhoContext.Provider>
  );
}

type Door = "asking" | "open" | "shut" | "unknown";

function useDoor(): { door: Door; who: Session } {
  const { data, error, isPending } = useSession();
  const who = data ?? WHOEVER;
  if (isPending) return { door: "asking", who };
  if (error instanceof RefusedError && error.status === NOT_KNOWN) return { door: "unknown", who };
  return { door: who.mode === "department" && who.name === "" ? "shut" : "open", who };
}

/** On a laptop: this browser has not opened the address that the program printed. */
function NotLetIn() {
  const t = useSay();
  return (
    <Page open={null} today={todayIso()} foot={<span />}>
      <Empty>{t("not_let_in")}</Empty>
    </Page>
  );
}
