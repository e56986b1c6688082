/** The operation as it is recorded: an empty record to begin with, and changes to it. */

import type { MeasuredCorner, OperationRecord, TheatreStart } from "../../api/records";
import type { Point } from "../../plan/paper";
import { LEFT, RIGHT } from "../../shell/sides";
import type { StopProps } from "../contract";

/** A record in which nothing is recorded but the day and the plan that is cut. */
export function emptyOperation(start: TheatreStart, today: string): OperationRecord {
  return {
    operated_on: today,
    plan_code: start.code,
    plan: start.plan,
    dye_seen: "not recorded",
    dye_walls: [],
    corners: null,
    measured: [],
    hole_length_mm: null,
    hole_width_mm: null,
    branches: [],
    defect_length_mm: null,
    defect_width_mm: null,
    defect_depth_mm: null,
    specimen_length_mm: null,
    specimen_width_mm: null,
    specimen_depth_mm: null,
    specimen_weight_g: null,
    clearances: null,
    blood_loss_ml: null,
    layers: null,
    drains: null,
    counts_agree: "not asked",
    deviations: null,
    steps: null,
    note: "",
  } as unknown as OperationRecord;
}

/** What every part of this stop works with. */
export type InTheatre = StopProps & {
  start: TheatreStart;
  operation: OperationRecord | null;
  /** Change the record; the first change begins it. */
  record: (
    name: string,
    change: (operation: OperationRecord) => OperationRecord,
    merge?: string,
  ) => void;
};

/** The stop's props with the record and the way to change it. */
export function inTheatre(props: StopProps, start: TheatreStart): InTheatre {
  const { entered, edit, today } = props;
  return {
    ...props,
    start,
    operation: entered.operation,
    record: (name, change, merge) =>
      edit(
        name,
        (before) => ({
          ...before,
          operation: change(before.operation ?? emptyOperation(start, today)),
        }),
        merge,
      ),
  };
}

/** Every corner of the hole: as measured, or as planned while it is not measured yet. */
export function cornersNow(
  start: TheatreStart,
  operation: OperationRecord | null,
): MeasuredCorner[] {
  const measured = operation?.measured ?? [];
  return start.corners.map((each) => measured.find((own) => own.name === each.name) ?? each);
}

/** The record with one corner measured, or measured again. */
export function withCorner(operation: OperationRecord, corner: MeasuredCorner): OperationRecord {
  const { measured } = operation;
  const isNew = measured.every((each) => each.name !== corner.name);
  const others = measured.map((each) => (each.name === corner.name ? corner : each));
  return { ...operation, measured: isNew ? [...measured, corner] : others };
}

/** Where a corner is drawn; nothing while its entry is no number yet. */
export function placeOf({
  above_coccyx_tip_mm,
  off_midline_mm,
  side,
}: MeasuredCorner): Point | null {
  const isRead = typeof above_coccyx_tip_mm === "number" && typeof off_midline_mm === "number";
  if (!isRead || (off_midline_mm !== 0 && side === null)) return null;
  return [side === LEFT ? -off_midline_mm : off_midline_mm, above_coccyx_tip_mm];
}

/** A corner that was put somewhere on the drawing, which shows whole millimetres. */
export function cornerAt(name: string, [across_mm, along_mm]: Point): MeasuredCorner {
  const off = Math.round(Math.abs(across_mm));
  return {
    name,
    above_coccyx_tip_mm: Math.round(along_mm),
    off_midline_mm: off,
    side: off === 0 ? null : across_mm < 0 ? LEFT : RIGHT,
  };
}

/** The letters round the hole; the first and the third are its ends. */
export function letters(corners: readonly MeasuredCorner[]) {
  const isLens = corners.some((corner) => corner.name === "M");
  return isLens ? (["A", "L", "C", "M"] as const) : (["A", "B", "C", "D"] as const);
}

/** The corners round the hole, for drawing it as one line. */
export function around(corners: readonly MeasuredCorner[]): Point[] {
  const named = letters(corners).map((letter) => corners.find((each) => each.name === letter));
  return named.flatMap((corner) => (corner ? [placeOf(corner)] : [])).filter((p) => p !== null);
}

/** The clock on the wall, as a record holds it. */
export function nowTime(now = new Date()): string {
  return [now.getHours(), now.getMinutes()].map((n) => String(n).padStart(2, "0")).join(":");
}

/** Steps in the order of their times. */
export function byTime<T extends { at: string }>(steps: readonly T[]): T[] {
  return [...steps].sort((a, b) => a.at.localeCompare(b.at));
}

/** The record with a step done now. */
export function stamped(operation: OperationRecord, step: string): OperationRecord {
  return { ...operation, steps: byTime([...(operation.steps ?? []), { step, at: nowTime() }]) };
}
