/** Which paper the page lies on: as chosen here, or else as the device has it. */

export type Paper = "light" | "dark";

const PLACE = "crena.paper";

export function paperNow(): Paper {
  return chosenPaper() ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
}

export function otherPaper(paper: Paper): Paper {
  return paper === "dark" ? "light" : "dark";
}

export function layPaper(paper: Paper): void {
  localStorage.setItem(PLACE, paper);
  document.documentElement.dataset.paper = paper;
}

/** Lay the paper that was chosen on an earlier day. */
export function layChosenPaper(): void {
  const chosen = chosenPaper();
  if (chosen) document.documentElement.dataset.paper = chosen;
}

function chosenPaper(): Paper | null {
  const kept = localStorage.getItem(PLACE);
  return kept === "light" || kept === "dark" ? kept : null;
}
