import { useSyncExternalStore } from "react";
import { type Paper, paperNow } from "./paper";

const DARK = "(prefers-color-scheme: dark)";

/** Which paper lies now, followed, whoever changes it: the reader here or the device. */
export function usePaper(): Paper {
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
