/** The records of this stop by short names, and the case with one of them changed. */

import type { Case, HealingPlan } from "../../api/records";

export type Forecast = NonNullable<HealingPlan["drain"]>;
export type Support = NonNullable<HealingPlan["support"]>;
export type AgendaTask = HealingPlan["agenda"][number];
export type Aftercare = Case["aftercare"];
export type Course = NonNullable<Aftercare["drain"]>;
export type Reading = Course["readings"][number];
export type Complication = Aftercare["complications"][number];

/** A change of the aftercare as a change of the case. */
export function inAftercare(change: (care: Aftercare) => Aftercare): (entered: Case) => Case {
  return (entered) => ({ ...entered, aftercare: change(entered.aftercare) });
}

/** The same with one more reading; the first one begins the course of the drain. */
export function withReading(care: Aftercare, ended: string, reading: Reading): Aftercare {
  const course = care.drain ?? { operation_ended_at: ended, readings: [] };
  return { ...care, drain: { ...course, readings: [...course.readings, reading] } };
}

export function withoutReading(care: Aftercare, index: number): Aftercare {
  if (!care.drain) return care;
  const readings = care.drain.readings.filter((_, i) => i !== index);
  return { ...care, drain: { ...care.drain, readings } };
}

const STITCHES = "stitches";
const DRAIN_OUT = "drain-out";

/** A task marked as done on a day, or as not done; drain and stitches keep their own dates too. */
export function marked(
  care: Aftercare,
  tasks: readonly AgendaTask[],
  code: string,
  on: string | null,
): Aftercare {
  if (code === DRAIN_OUT) return { ...care, drain_out_on: on };
  const others = care.done.filter((done) => done.code !== code);
  const done = on === null ? others : [...others, { code, on }];
  if (!code.startsWith(STITCHES)) return { ...care, done };
  const stitches = tasks.map((each) => each.task.code).filter((each) => each.startsWith(STITCHES));
  const last = stitches.every((each) => done.some((one) => one.code === each)) ? on : null;
  return { ...care, done, stitches_out_on: last };
}

/** All stitches recorded as out on one day, or as in again. */
export function stitchesOut(care: Aftercare, on: string | null): Aftercare {
  const done = care.done.filter((each) => !each.code.startsWith(STITCHES));
  return { ...care, done, stitches_out_on: on };
}
