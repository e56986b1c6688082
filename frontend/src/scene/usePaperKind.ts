import { useSyncExternalStore } from "react";
import { type Paper, paperNow } from "../design/paper";

const DARK = "(prefers-color-scheme: dark)";

/** Which paper lies now, followed: what is drawn in space has its colours from it. */
export function usePaperKind(): Paper {
  return useSyncExternalStore(follow, paperNow);
}

function follow(tell: () => void): () => void {
  const device = matchMedia(DARK);
  const chosen = new MutationObserver(tell);
  device.addEventListener("change", tell);
  chosen.observe(document.documentElement, { attributeFilter: ["data-paper"] });
  return () => {
    device.removeEventListener("change", tell);
    chosen.disconnect();
  };
}
