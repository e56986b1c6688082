import { fireEvent, render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { afterEach, expect, it, vi } from "vitest";
import { speak } from "../i18n";
import { DayField } from "./DayField";

afterEach(() => speak("en"));

function Entry({ onDay, first }: { onDay: (iso: string | null) => void; first: string | null }) {
  const [day, setDay] = useState(first);
  const put = (iso: string | null) => {
    onDay(iso);
    setDay(iso);
  };
  return <DayField label="Seen on" value={day} latest="2026-11-27" onDay={put} />;
}

function show(first: string | null = "2026-11-24") {
  const onDay = vi.fn();
  render(<Entry onDay={onDay} first={first} />);
  return { onDay, field: screen.getByLabelText<HTMLInputElement>("Seen on") };
}

it("writes and reads a day in the language of the page", async () => {
  speak("de");
  const { onDay, field } = show();
  expect(field.value).toBe("24.11.2026");
  await userEvent.clear(field);
  await userEvent.type(field, "3.4.2026");
  await userEvent.tab();
  expect(onDay).toHaveBeenLastCalledWith("2026-04-03");
  expect(field.value).toBe("03.04.2026");
  expect(screen.getByText("Freitag")).toBeTruthy();
});

it("says how to write a day that it cannot read, and keeps both what was typed and the day", async () => {
  const { onDay, field } = show();
  await userEvent.clear(field);
  onDay.mockClear();
  await userEvent.type(field, "3/4/2026");
  expect(screen.queryByText(/no day that can be read/)).toBeNull();
  await userEvent.tab();
  expect(field.value).toBe("3/4/2026");
  expect(field.getAttribute("aria-invalid")).toBe("true");
  expect(screen.getByText(/Write it like 3 Apr 2026/)).toBeTruthy();
  expect(onDay).not.toHaveBeenCalled();
});

it("says that a day lies after the last one that can be", async () => {
  const { field } = show(null);
  await userEvent.type(field, "28 Nov 2026");
  await userEvent.tab();
  expect(screen.getByText("This lies after 27 Nov 2026. Correct the day.")).toBeTruthy();
});

it("gives way to a day that comes another way", async () => {
  const { onDay, field } = show();
  const calendar = document.querySelector<HTMLInputElement>("input[type=date]");
  await userEvent.clear(field);
  await userEvent.type(field, "3/4/2026");
  await userEvent.tab();
  fireEvent.change(calendar as HTMLInputElement, { target: { value: "2026-04-03" } });
  expect(onDay).toHaveBeenLastCalledWith("2026-04-03");
  expect(field.value).toBe("3 Apr 2026");
  expect(field.getAttribute("aria-invalid")).toBe("false");
});

it("shows what Undo brought back, although what was typed is the day before Undo", async () => {
  const { rerender } = render(
    <DayField label="Seen on" value="2026-11-24" onDay={() => undefined} />,
  );
  const field = screen.getByLabelText<HTMLInputElement>("Seen on");
  const now = (value: string) =>
    rerender(<DayField label="Seen on" value={value} onDay={() => undefined} />);
  await userEvent.clear(field);
  await userEvent.type(field, "2026-11-25");
  now("2026-11-25");
  expect(field.value).toBe("2026-11-25");
  await userEvent.type(field, "x");
  now("2026-11-24");
  expect(field.value).toBe("24 Nov 2026");
});

it("keeps what is being typed when its own day comes back", async () => {
  const { field } = show();
  await userEvent.clear(field);
  await userEvent.type(field, "3.4.2026");
  expect(field.value).toBe("3.4.2026");
});
