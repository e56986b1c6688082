import { useEffect } from "react";
import type { KnownMap } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Probe } from "../../plan/Arrow";
import { Caption } from "../../plan/Caption";
import { Pit } from "../../plan/Disease";
import { DiseaseMap } from "../../plan/DiseaseMap";
import { Handle } from "../../plan/Handle";
import { Landmarks } from "../../plan/Landmarks";
import { Midline } from "../../plan/Midline";
import { Old } from "../../plan/Old";
import { frameOf, type Point } from "../../plan/paper";
import { usePicked } from "../../plan/picked";
import { SkinPlan } from "../../plan/SkinPlan";
import type { StopProps } from "../contract";
import { readNumber } from "./entries";
import { keyOf, type Placing, type Thing } from "./usePlacing";

type EntryPlanProps = StopProps & {
  known: KnownMap;
  placing: Placing;
  /** What the next tap on the drawing places. */
  next: Thing | null;
  onPlaced: () => void;
};

/** The skin plan on which pits, probes and the anal verge are placed. */
export function EntryPlan(props: EntryPlanProps) {
  const { known, placing, next, onPlaced } = props;
  const t = useSay("disease");
  const verge = placing.pending.verge ?? (known.anal_verge_mm as Point);
  const tips = known.probes.map((probe) => probe.tip_mm as Point);
  const pits = known.pits.map((pit) => pit.at_mm as Point);
  const frame = frameOf([[-40, 0], [40, 60], known.anal_verge_mm as Point, ...pits, ...tips]);
  const put = (thing: Thing) => (at: Point) => void placing.place(thing, at);
  return (
    <SkinPlan title={t("title")} {...frame} tallest={0.7}>
      {known.tract_map ? <DiseaseMap map={known.tract_map} /> : null}
      <Midline />
      <Landmarks analVerge={verge} />
      <g className={next ? "placing" : undefined}>
        <Handle name={t("verge")} place={verge} onMove={still} onDone={put({ kind: "verge" })} />
        <Probes {...props} put={put} />
        <Pits {...props} put={put} />
      </g>
      {known.old ? <Old /> : null}
      {next ? (
        <NextPlace
          key={keyOf(next)}
          name={t("next_place")}
          onPlace={(at) => {
            put(next)(at);
            onPlaced();
          }}
        />
      ) : null}
    </SkinPlan>
  );
}

/** While a handle moves nothing is asked; its last place counts. */
const still = () => undefined;

type PutProps = EntryPlanProps & { put: (thing: Thing) => (at: Point) => void };

function Probes({ known, placing, entered, put }: PutProps) {
  const t = useSay("disease");
  return known.probes.map((probe) => {
    const thing: Thing = { kind: "tip", index: probe.probing };
    const from = placing.pending[pitKey(entered, probe.probing)] ?? (probe.from_mm as Point);
    const tip = placing.pending[keyOf(thing)] ?? (probe.tip_mm as Point);
    const depth_mm = readNumber(entered, ["probings", probe.probing, "tip_depth_mm"]);
    const way = tip[0] < 0 ? -1 : 1;
    return (
      <g key={probe.probing}>
        <Handle
          name={t("tip_of", { tract: probe.tract })}
          place={tip}
          onMove={still}
          onDone={put(thing)}
        />
        <g pointerEvents="none">
          <Probe from={from} to={tip} />
          <Caption
            to={tip}
            by={[16 * way, 14]}
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

function Pits({ known, placing, entered, put }: PutProps) {
  const t = useSay("disease");
  return known.pits.map((pit) => {
    const index = entered.pits.findIndex(({ name }) => name === pit.name);
    const thing: Thing = { kind: "pit", index };
    const at = placing.pending[keyOf(thing)] ?? (pit.at_mm as Point);
    const name = t("pit", { name: pit.name });
    const way = leansRight(known, pit.name, entered) ? -1 : 1;
    return (
      <g key={pit.name}>
        {index < 0 ? null : <Handle name={name} place={at} onMove={still} onDone={put(thing)} />}
        <g pointerEvents="none">
          <Pit place={at} />
          <Caption to={at} by={[16 * way, -14]} lines={[name]} />
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

/** Whether what was probed from a pit runs to the patient's right, so that words go to the left. */
function leansRight(known: KnownMap, pit: string, entered: StopProps["entered"]): boolean {
  const own = known.probes.filter(({ probing }) => entered.probings[probing]?.pit === pit);
  return own.length > 0 && own.every(({ from_mm, tip_mm }) => tip_mm[0] > from_mm[0]);
}

/** Half millimetres are entered; whole ones are written without a comma. */
function digits(value_mm: number): number {
  return Number.isInteger(value_mm) ? 0 : 1;
}
