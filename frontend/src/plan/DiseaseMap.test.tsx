import { QueryClientProvider } from "@tanstack/react-query";
import { render, waitFor } from "@testing-library/react";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { queries } from "../api/queries";
import { speak } from "../i18n";
import { DiseaseMap } from "./DiseaseMap";
import { SkinPlan } from "./SkinPlan";

const SHAPE = {
  parts: [
    [
      [0, 0],
      [9, 0],
      [0, 9],
    ],
  ],
  spots: [],
  ring: [],
};

/** What the server answers for each code; without an answer it is still at work. */
let answers: Record<string, Response> = {};

beforeEach(() => {
  speak("en");
  answers = {};
  vi.stubGlobal("fetch", async (path: string) => {
    const code = new URL(path, "http://crena.example").searchParams.get("code") ?? "";
    return answers[code]?.clone() ?? new Promise(() => undefined);
  });
});
afterEach(() => {
  vi.unstubAllGlobals();
  queries.clear();
});

const drawing = (code: string, margin_mm?: number) => (
  <QueryClientProvider client={queries}>
    <SkinPlan title="Plan A" low={[-40, 0]} high={[40, 80]}>
      <DiseaseMap caseId="c12" code={code} pits={[]} margin_mm={margin_mm} />
    </SkinPlan>
  </QueryClientProvider>
);
const tract = () => document.querySelector(".tract");
const words = () =>
  [...document.querySelectorAll(".not-drawn text")].map((line) => line.textContent);

it("says that the disease is being read where it is not drawn yet", () => {
  render(drawing("C1"));
  expect(words()).toEqual(["The disease is being read."]);
});

it("says why the disease cannot be drawn", async () => {
  const detail = "The case was planned anew meanwhile. Load it again.";
  answers = { C1: Response.json({ detail }, { status: 409 }) };
  render(drawing("C1"));
  await waitFor(() => expect(words().join(" ")).toBe(`The disease cannot be drawn: ${detail}`));
});

it("never draws the disease of other plans", async () => {
  answers = { C1: Response.json(SHAPE) };
  const { rerender } = render(drawing("C1"));
  await waitFor(() => expect(tract()).toBeTruthy());
  rerender(drawing("C1", 5));
  expect(tract()).toBeTruthy();
  rerender(drawing("C2"));
  expect(tract()).toBeNull();
  expect(words()).toEqual(["The disease is being read."]);
});
