import { fireEvent, render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, it } from "vitest";
import { TimeField } from "./TimeField";

function show(value: string) {
  const field = (at: string) => <TimeField label="Emptied" value={at} onTime={() => undefined} />;
  const { rerender } = render(field(value));
  return {
    field: screen.getByLabelText<HTMLInputElement>("Emptied"),
    becomes: (at: string) => rerender(field(at)),
  };
}

it("gives way to a time that comes another way", async () => {
  const { field, becomes } = show("2026-11-25T08:30");
  await userEvent.clear(field);
  await userEvent.type(field, "25/11/2026 09:00");
  fireEvent.blur(field);
  expect(field.getAttribute("aria-invalid")).toBe("true");
  becomes("2026-11-25T10:00");
  expect(field.value).toBe("25 Nov 2026, 10:00");
  expect(field.getAttribute("aria-invalid")).toBe("false");
});

it("keeps what is being typed when its own time is saved with seconds", async () => {
  const { field, becomes } = show("2026-11-24T08:30");
  await userEvent.clear(field);
  await userEvent.type(field, "25.11.2026 8:30");
  becomes("2026-11-25T08:30");
  becomes("2026-11-25T08:30:00");
  expect(field.value).toBe("25.11.2026 8:30");
});
