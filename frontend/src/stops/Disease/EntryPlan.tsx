import { useEffect, useState } from "react";
import type { KnownMap } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Probe } from "../../plan/Arrow";
import { Caption } from "../../plan/Caption";
import { Pit } from "../../plan/Disease";
import { DiseaseMap } from "../../plan/DiseaseMap";
import { Handle } from "../../plan/Handle";
import { Landmarks } from "../../plan/Landmarks";
import { FoldedLegend, type Sign } from "../../plan/Legend";
import { Midline } from "../../plan/Midline";
import { Old } from "../../plan/Old";
import { frameOf, type Point } from "../../plan/paper";
import { usePicked } from "../../plan/picked";
import { SkinPlan } from "../../plan/SkinPlan";
import type { StopProps } from "../contract";
import { readNumber } from "./entries";
import { keyOf, type Placing, type Thing } from "./usePlacing";

const SIGNS: readonly Sign[] = ["pit", "probe", "tract", "spot", "midline", "landmarks"];

type EntryPlanProps = StopProps & {
  known: KnownMap;
  placing: Placing;
  /** What the next tap on the drawing places. */
  next: Thing | null;
  onPlaced: () => void;
};

/** The skin plan on which pits, probes and the anal verge are placed. */
export function EntryPlan(props: EntryPlanProps) {
  const { revision, known, placing, next, onPlaced } = props;
  const t = useSay("disease");
  const [moving, setMoving] = useState<Moving>({});
  const shown = { ...placing.pending, ...moving };
  const verge = shown.verge ?? (known.anal_verge_mm as Point);
  const tips = known.probes.map((probe) => probe.tip_mm as Point);
  const pits = known.pits.map((pit) => pit.at_mm as Point);
  const frame = frameOf([[-40, 0], [40, 60], known.anal_verge_mm as Point, ...pits, ...tips]);
  const held = (thing: Thing) => ({
    onMove: (at: Point) => setMoving({ [keyOf(thing)]: at }),
    onDone: (at: Point) => {
      setMoving({});
      void placing.place(thing, at);
    },
  });
  return (
    <>
      <SkinPlan title={t("title")} {...frame} tallest={0.7}>
        {known.tract_map ? (
          <DiseaseMap caseId={revision.case_id} code={null} pits={known.tract_map.pits} />
        ) : null}
        <Midline />
        <Landmarks analVerge={verge} />
        <g className={next ? "placing" : undefined} onPointerCancel={() => setMoving({})}>
          <Handle name={t("verge")} place={verge} {...held({ kind: "verge" })} />
          <Probes {...props} shown={shown} held={held} />
          <Pits {...props} shown={shown} held={held} />
        </g>
        {known.old ? <Old /> : null}
        {next ? (
          <NextPlace
            key={keyOf(next)}
            name={t("next_place")}
            onPlace={(at) => {
              void placing.place(next, at);
              onPlaced();
            }}
          />
        ) : null}
      </SkinPlan>
      <FoldedLegend signs={SIGNS} />
    </>
  );
}

/** Where a handle is while it is dragged: drawn at once, asked for when it is let go. */
type Moving = Readonly<Record<string, Point>>;

type DrawnProps = EntryPlanProps & {
  /** Places that the map does not show yet. */
  shown: Moving;
  held: (thing: Thing) => Pick<Parameters<typeof Handle>[0], "onMove"> & {
    onDone: (at: Point) => void;
  };
};

function Probes({ known, entered, shown, held }: DrawnProps) {
  const t = useSay("disease");
  return known.probes.map((probe) => {
    const thing: Thing = { kind: "tip", index: probe.probing };
    const from = shown[pitKey(entered, probe.probing)] ?? (probe.from_mm as Point);
    const tip = shown[keyOf(thing)] ?? (probe.tip_mm as Point);
    const depth_mm = readNumber(entered, ["probings", probe.probing, "tip_depth_mm"]);
    const way = tip[0] < 0 ? -1 : 1;
    return (
      <g key={probe.probing}>
        <Handle name={t("tip_of", { tract: probe.tract })} place={tip} {...held(thing)} />
        <g pointerEvents="none">
          <Probe from={from} to={tip} />
          <Caption
            to={tip}
            by={[24 * way, 14]}
            lines={[
              probe.tract,
              ...(depth_mm === null
                ? []
                : [t("deep", { mm: measure(depth_mm, "mm", digits(depth_mm)) })]),
            ]}
          />
        </g>
      </g>
    );
  });
}

function Pits({ known, entered, shown, held }: DrawnProps) {
  const t = useSay("disease");
  return known.pits.map((pit) => {
    const index = entered.pits.findIndex(({ name }) => name === pit.name);
    const thing: Thing = { kind: "pit", index };
    const at = shown[keyOf(thing)] ?? (pit.at_mm as Point);
    const name = t("pit", { name: pit.name });
    const way = freeSide(known, at);
    return (
      <g key={pit.name}>
        {index < 0 ? null : <Handle name={name} place={at} {...held(thing)} />}
        <g pointerEvents="none">
          <Pit place={at} />
          <Caption to={at} by={[20 * way, -14]} lines={[name]} />
        </g>
      </g>
    );
  });
}

type NextPlaceProps = { name: string; onPlace: (at: Point) => void };

/** The next tap on the drawing is the place of something new. */
function NextPlace({ name, onPlace }: NextPlaceProps) {
  const { picked, pick } = usePicked();
  useEffect(() => {
    if (picked === null) pick({ name, setDown: onPlace });
  });
  useEffect(() => () => pick(null), [pick]);
  return null;
}

function pitKey(entered: StopProps["entered"], probing: number): string {
  const name = entered.probings[probing]?.pit;
  return keyOf({ kind: "pit", index: entered.pits.findIndex((pit) => pit.name === name) });
}

/** The side on which fewer probes lie beside the words of a pit; the right where it is the same. */
function freeSide(known: KnownMap, [, along]: Point): 1 | -1 {
  const beside = (way: number) =>
    known.probes.filter(({ from_mm, tip_mm }) => {
      const [low, high] = [Math.min(from_mm[1], tip_mm[1]), Math.max(from_mm[1], tip_mm[1])];
      return tip_mm[0] * way > 0 && low < along - WORDS_MM[0] && high > along - WORDS_MM[1];
    }).length;
  return beside(1) <= beside(-1) ? 1 : -1;
}

/** The words of a pit stand between so many mm below it. */
const WORDS_MM = [1, 6] as const;

/** Half millimetres are entered; whole ones are written without a comma. */
function digits(value_mm: number): number {
  return Number.isInteger(value_mm) ? 0 : 1;
}
