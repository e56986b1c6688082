import { expect, it } from "vitest";
import {
  type Aftercare,
  type AgendaTask,
  marked,
  stitchesOut,
  withoutReading,
  withReading,
} from "./records";

const CARE = {
  drain: null,
  drain_out_on: null,
  stitches_out_on: null,
  done: [{ code: "visit-7-days", on: "2026-12-03" }],
} as unknown as Aftercare;

const TASKS = ["visit-7-days", "stitches-half", "stitches-rest"].map((code) => ({
  task: { code },
})) as unknown as AgendaTask[];

const READING = { drain: "1", emptied_at: "2026-11-27T08:00", volume_ml: "12,5" } as never;

it("begins the course of the drain with its first reading and keeps what was typed", () => {
  const care = withReading(CARE, "2026-11-26T10:20", READING);
  expect(care.drain?.operation_ended_at).toBe("2026-11-26T10:20");
  expect(care.drain?.readings[0]?.volume_ml).toBe("12,5");
  expect(withoutReading(care, 0).drain?.readings).toEqual([]);
});

it("says that stitches are out only once all of them are", () => {
  const half = marked(CARE, TASKS, "stitches-half", "2026-12-08");
  expect(half.stitches_out_on).toBeNull();
  const all = marked(half, TASKS, "stitches-rest", "2026-12-10");
  expect(all.stitches_out_on).toBe("2026-12-10");
  expect(marked(all, TASKS, "stitches-rest", null).stitches_out_on).toBeNull();
});

it("keeps the date of a drain that is out where the drain is", () => {
  const care = marked(CARE, TASKS, "drain-out", "2026-11-30");
  expect(care.drain_out_on).toBe("2026-11-30");
  expect(care.done).toEqual(CARE.done);
});

it("takes the marks of single stitches away where all are recorded as out or in", () => {
  const half = marked(CARE, TASKS, "stitches-half", "2026-12-08");
  expect(stitchesOut(half, "2026-12-09").done).toEqual(CARE.done);
});

it("marks a visit once, on its last day given", () => {
  const care = marked(CARE, TASKS, "visit-7-days", "2026-12-04");
  expect(care.done).toEqual([{ code: "visit-7-days", on: "2026-12-04" }]);
});
