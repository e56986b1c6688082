import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const CSS = readFileSync("src/design/tokens.css", "utf-8");

const DOCS = readFileSync("../docs/design.md", "utf-8");

const TEXT_RATIO = 4.5;
const LINE_RATIO = 3.0;

/** Text on the papers that it may lie on. */
const INKS = ["ink", "ink-2", "pen", "dye", "warn", "stop", "flap-ink"];
const PAPERS = ["paper", "sheet", "flap"];

/** Text on a ground of its own. */
const OWN_GROUND = [
  ["on-pen", "pen"],
  ["warn", "warn-soft"],
  ["stop", "stop-soft"],
  ["dye", "dye-soft"],
  ["ink", "pen-soft"],
] as const;

describe.each([
  ["light paper", ":root {"],
  ["dark paper of the device", ':root:not([data-paper="light"]) {'],
  ["dark paper of the switch", ':root[data-paper="dark"] {'],
])("%s", (_, selector) => {
  const colours = tokens(selector);

  it.each(INKS.flatMap((ink) => PAPERS.map((paper) => [ink, paper] as const)))(
    "can be read: %s on %s",
    (ink, paper) => {
      expect(ratio(colours, ink, paper)).toBeGreaterThanOrEqual(TEXT_RATIO);
    },
  );

  it.each(OWN_GROUND)("can be read: %s on %s", (ink, ground) => {
    expect(ratio(colours, ink, ground)).toBeGreaterThanOrEqual(TEXT_RATIO);
  });

  it.each(PAPERS)("shows borders of controls on %s", (paper) => {
    expect(ratio(colours, "edge", paper)).toBeGreaterThanOrEqual(LINE_RATIO);
  });
});

it("has the same dark paper from the device and from the switch", () => {
  const device = tokens(':root:not([data-paper="light"]) {');
  expect(device).toEqual(tokens(':root[data-paper="dark"] {'));
});

it("is described in the docs colour by colour", () => {
  const rows = [...DOCS.matchAll(/^\| `([\w-]+)` \| `(#\w+)` \| `(#\w+)` \|/gm)];
  const [light, dark] = [2, 3].map((n) => Object.fromEntries(rows.map((row) => [row[1], row[n]])));
  expect(light).toEqual(tokens(":root {"));
  expect(dark).toEqual(tokens(':root[data-paper="dark"] {'));
});

it("computes the ratio of black on white as WCAG 2.2 does", () => {
  expect(ratio({ ink: "#000000", paper: "#ffffff" }, "ink", "paper")).toBe(21);
});

function tokens(selector: string): Record<string, string> {
  const start = CSS.indexOf(selector);
  if (start < 0) throw new Error(`tokens.css has no ${selector}`);
  const body = CSS.slice(start, CSS.indexOf("}", start));
  return Object.fromEntries(
    [...body.matchAll(/--([\w-]+): (#[0-9a-f]{6})/g)].map((m) => m.slice(1)),
  );
}

function ratio(colours: Record<string, string>, a: string, b: string): number {
  const [low, high] = [luminance(colours[a]), luminance(colours[b])].sort((x, y) => x - y);
  return ((high ?? 0) + 0.05) / ((low ?? 0) + 0.05);
}

/** Relative luminance, WCAG 2.2. */
function luminance(colour: string | undefined): number {
  if (!colour) throw new Error("A colour is missing in tokens.css");
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((i) => {
    const share = Number.parseInt(colour.slice(i, i + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
