/** The server's records by their own names, as the page reads them. */

import type { components } from "./types";

type Schemas = components["schemas"];

/** A record as it is sent: every field is there, also those that have a default. */
export type Whole<T> = T extends object ? { [K in keyof T]-?: Whole<Exclude<T[K], undefined>> } : T;

/** One record; where reading and writing differ, the one that is read. */
type Sent<Name extends string> = `${Name}-Output` extends keyof Schemas
  ? Whole<Schemas[`${Name}-Output`]>
  : Name extends keyof Schemas
    ? Whole<Schemas[Name]>
    : never;

export type Answer = Sent<"Answer">;
export type Case = Sent<"Case">;
export type CaseLine = Sent<"CaseLine">;
export type Closure = Sent<"Closure">;
export type Dossier = Sent<"Dossier">;
export type DiseaseShape = Sent<"DiseaseShape">;
export type CutSlice = Sent<"CutSlice">;
export type DueLine = Sent<"DueLine">;
export type Excision = Sent<"Excision">;
export type HealingPlan = Sent<"HealingPlan">;
export type HandleAct = Sent<"HandleAct">;
export type HandlePoint = Sent<"HandlePoint">;
export type Job = Sent<"Job">;
export type KeptFile = Sent<"KeptFile">;
export type MapNow = Sent<"MapNow">;
export type KnownMap = Sent<"KnownMap">;
export type Missing = Sent<"Missing">;
export type OperationRecord = Sent<"OperationRecord">;
export type MeasuredCorner = Sent<"MeasuredCorner">;
export type LimitCheck = Sent<"LimitCheck">;
export type Limits = Sent<"Limits">;
export type Move = Sent<"Move">;
export type MoveKind = Sent<"MoveKind">;
export type Issued = Sent<"Issued">;
export type IssuedLine = Sent<"IssuedLine">;
export type Marking = Sent<"Marking">;
export type Plan = Sent<"Plan">;
export type PlanSet = Sent<"PlanSet">;
export type Probing = Sent<"Probing">;
export type Pit = Sent<"Pit">;
export type Preview = Sent<"Preview">;
export type PrintedBars = Sent<"PrintedBars">;
export type Revision = Sent<"Revision">;
export type Role = Sent<"Role">;
export type Road = Sent<"Road">;
export type RoadStop = Sent<"RoadStop">;
export type RulerPoint = Sent<"RulerPoint">;
export type RulerTable = Sent<"RulerTable">;
export type RevisionLine = Sent<"RevisionLine">;
export type ScanClicks = Sent<"ScanClicks">;
export type ScanMap = Sent<"ScanMap">;
export type ScanPicture = Sent<"ScanPicture">;
export type Scar = Sent<"Scar">;
export type Seam = Sent<"Seam">;
export type Session = Sent<"WhoIsIn">;
export type Side = Sent<"Side">;
export type SignalWindow = Sent<"SignalWindow">;
export type SignOff = Sent<"SignOff">;
export type SkinFilm = Sent<"SkinFilm">;
export type SkinMoment = Sent<"SkinMoment">;
export type SliceOutline = Sent<"SliceOutline">;
export type SliceView = Sent<"SliceView">;
export type Spot = Sent<"Spot">;
export type TensionBand = Sent<"TensionBand">;
export type ScarWindow = Sent<"ScarWindow">;
export type Surface = Sent<"Surface">;
export type TheatreStart = Sent<"TheatreStart">;
export type Tract = Sent<"Tract">;
export type TractMap = Sent<"TractMap">;

/** How hard a stretch of scar is pulled at, against the hardest of the same closure. */
export type PullClass = "low" | "middle" | "high";

/** A number as somebody typed it: the server's one parser reads it when it is saved. */
export function asTyped(text: string): number {
  return text as unknown as number;
}
