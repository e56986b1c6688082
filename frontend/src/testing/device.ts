import { vi } from "vitest";

/** A device that a test turns to dark or to light. */
export type Device = { dark: (isDark: boolean) => void };

/** Stand in for what the browser tells of the device; it is light at first. */
export function stubDevice(): Device {
  const told = new Set<() => void>();
  let matches = false;
  vi.stubGlobal("matchMedia", () => ({
    get matches() {
      return matches;
    },
    addEventListener: (_: string, tell: () => void) => told.add(tell),
    removeEventListener: (_: string, tell: () => void) => told.delete(tell),
  }));
  return {
    dark: (isDark) => {
      matches = isDark;
      for (const tell of told) tell();
    },
  };
}
