import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen } from "@testing-library/react";
import { expect, it, vi } from "vitest";
import { queries } from "../../api/queries";
import { sampleRevision } from "../../testing/sample";
import type { StopProps } from "../contract";
import { Excision } from ".";

it("lets limits that keep a case from being planned be corrected before there are plans", () => {
  const revision = sampleRevision();
  const props = {
    revision,
    entered: revision.dossier.case,
    refusals: [],
    edit: vi.fn(),
    goTo: vi.fn(),
  };
  render(
    <QueryClientProvider client={queries}>
      <Excision {...(props as unknown as StopProps)} />
    </QueryClientProvider>,
  );
  expect(screen.getByRole("button", { name: "Go to Disease and plan it" })).toBeTruthy();
  expect(screen.getByText("What is asked of every plan")).toBeTruthy();
});
