import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, it, vi } from "vitest";
import { queries } from "../../api/queries";
import type { Dossier } from "../../api/records";
import { speak } from "../../i18n";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { Marking } from ".";

const WHY = "The server could not do this. Nothing was changed; try again.";

const MARKING = {
  old: false,
  plan: "A",
  flap_from: null,
  signed: null,
  void: null,
  bars: null,
  printed: false,
  ready: false,
  issued: [],
  ruler: { points: [], between: [], edges: [], uncut: [] },
};

afterEach(() => {
  speak("en");
  queries.clear();
  vi.unstubAllGlobals();
});

function show(operation: object | null = null) {
  const dossier = { ...sampleRevision().dossier, plans: { code: "C1" } } as Dossier;
  const revision = sampleRevision({ dossier });
  const entered = { ...dossier.case, operation };
  const props = { revision, entered, goTo: vi.fn(), saved: async () => revision };
  render(
    <QueryClientProvider client={queries}>
      <Marking {...(props as unknown as StopProps)} />
    </QueryClientProvider>,
  );
  return props.goTo;
}

it("does not send an operated case back to be signed off", async () => {
  vi.stubGlobal("fetch", async (path: string) =>
    Response.json(path.endsWith("/marking") ? MARKING : 1),
  );
  const goTo = show({ operated_on: "2026-11-20" });
  await userEvent.click(await screen.findByRole("button", { name: "Go to Theatre" }));
  expect(goTo).toHaveBeenCalledWith("theatre");
  expect(screen.queryByText(/sign it off on Closure/)).toBeNull();
});

it("says why a sheet was not printed although the plan is not signed off", async () => {
  vi.stubGlobal("fetch", async (path: string, { method = "GET" }: RequestInit) => {
    if (method === "POST") return Response.json({ detail: WHY }, { status: 500 });
    return Response.json(path.endsWith("/marking") ? MARKING : 1);
  });
  show();
  const print = { name: "Print: Template at true size (PDF)" };
  await userEvent.click(await screen.findByRole("button", print));
  expect((await screen.findByRole("alert")).textContent).toBe(WHY);
});

it("asks for the sheets in the language of the page", async () => {
  const asked: string[] = [];
  vi.stubGlobal("fetch", async (path: string, { method = "GET" }: RequestInit) => {
    asked.push(path);
    if (method === "POST") return Response.json({ detail: WHY }, { status: 500 });
    return Response.json(path.endsWith("/marking") ? MARKING : 1);
  });
  speak("de");
  show();
  const print = { name: "Drucken: Schablone in wahrer Größe (PDF)" };
  await userEvent.click(await screen.findByRole("button", print));
  await screen.findByRole("alert");
  const printed = asked.filter((path) => /sheets|template-pages/.test(path));
  expect(printed.length).toBeGreaterThan(1);
  expect(printed.filter((path) => !path.includes("language=de"))).toEqual([]);
  expect(screen.getByRole("img").getAttribute("src")).toContain("language=de");
});
