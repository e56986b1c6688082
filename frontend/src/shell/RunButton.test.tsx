import { render, screen } from "@testing-library/react";
import { expect, it, vi } from "vitest";
import { RunButton } from "./RunButton";

it("brings the reason why nothing came of it into sight", () => {
  const seen = vi.fn();
  Element.prototype.scrollIntoView = seen;
  const run = { job: null, sentence: "No plan keeps all limits.", start: vi.fn() };
  render(
    <RunButton run={run} running="Planning" failed="Not planned" off={null} onPress={run.start}>
      Plan again
    </RunButton>,
  );
  expect(screen.getByRole("alert").textContent).toBe("No plan keeps all limits.");
  expect(seen).toHaveBeenCalledWith({ block: "center" });
});
