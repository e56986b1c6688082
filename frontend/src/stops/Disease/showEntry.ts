/** The way from a sentence to the field it speaks of. */

/** Open, show and focus the field of a place in the case, or the nearest around it. */
export function showEntry(place: string): boolean {
  const found = fieldOf(place);
  if (!found) return false;
  for (let outer: Element | null = found; outer; outer = outer.parentElement) {
    if (outer instanceof HTMLDetailsElement) outer.open = true;
  }
  const control = found.querySelector<HTMLElement>("input, textarea, select, button");
  found.scrollIntoView({ block: "center" });
  control?.focus({ preventScroll: true });
  return true;
}

function fieldOf(place: string): Element | null {
  const steps = place.split(".");
  for (let length = steps.length; length > 0; length -= 1) {
    const name = steps.slice(0, length).join(".");
    const found = document.querySelector(`[data-place="${name}"]`);
    if (found) return found;
  }
  return null;
}
