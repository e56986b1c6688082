import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, it, vi } from "vitest";
import type { Editor, EditorState } from "../editing/editor";
import { EditLine } from "./EditLine";

const unsaved = { kind: "unsaved", since_ms: 0, sentence: "The disk is full." } as const;
const refusal = { path: ["pits", 0], sentence: "A pit lies −60 to 120 mm above the tip." };

function show(refusals: EditorState["refusals"]) {
  const editor = { retry: vi.fn(), undo: vi.fn(), redo: vi.fn() } as unknown as Editor;
  const state = { saving: unsaved, refusals, undo: null, redo: null } as unknown as EditorState;
  const goTo = vi.fn();
  render(<EditLine editor={editor} state={state} here="theatre" goTo={goTo} />);
  return { ...editor, goTo };
}

it("offers to send again whatever kept the server from saving", async () => {
  const editor = show([]);
  expect(screen.getByText(/The disk is full/)).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Send now" }));
  expect(editor.retry).toHaveBeenCalled();
});

it("does not offer it where an entry must be corrected first", () => {
  show([refusal]);
  expect(screen.queryByRole("button", { name: "Send now" })).toBeNull();
});

it("leads to the stop where a refused entry stands", async () => {
  const { goTo } = show([refusal]);
  await userEvent.click(screen.getByRole("button", { name: "Go to the entry: Disease" }));
  expect(goTo).toHaveBeenCalledWith("disease");
});

it("leads nowhere where the refused entry stands before one's eyes", () => {
  show([{ path: ["operation", "blood_loss_ml"], sentence: "Blood loss: 0 to 5000 mL." }]);
  expect(screen.queryByRole("button", { name: /Go to the entry/ })).toBeNull();
});
