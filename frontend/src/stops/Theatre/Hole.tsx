import type { MeasuredCorner, Plan, PlanSet } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import { Choice } from "../../shell/Choice";
import { said } from "../../shell/Field";
import { LEFT, RIGHT, useSideWord } from "../../shell/sides";
import { Told } from "../../shell/Told";
import { Branches } from "./Branches";
import { HoleDrawing } from "./HoleDrawing";
import { cornersNow, type InTheatre, letters, withCorner } from "./operation";
import { Stepper } from "./Stepper";

type HoleProps = InTheatre & {
  plans: PlanSet;
  cut: Plan;
  /** The new plan that is looked at, or nothing. */
  drawn: Plan | null;
  /** The corner that is measured now. */
  letter: string;
  onLetter: (letter: string) => void;
  /** Measured by length and width, not corner by corner. */
  bySize: boolean;
  onBySize: (bySize: boolean) => void;
};

/** The hole as it really is: by its corners or its size, its depth, and new branches. */
export function Hole(props: HoleProps) {
  const { start, operation, plans, cut, drawn, record, bySize } = props;
  const t = useSay("theatre");
  const measured = operation?.measured ?? [];
  const before = props.revision.dossier.case.operation;
  const isDrawn =
    !bySize ||
    (before?.hole_length_mm === operation?.hole_length_mm &&
      before?.hole_width_mm === operation?.hole_width_mm);
  const put = (corner: MeasuredCorner, merge: string) =>
    record(t("hole.change", { corner: corner.name }), (op) => withCorner(op, corner), merge);
  return (
    <div className="drawing-and-notes hole">
      <HoleDrawing
        caseId={props.revision.case_id}
        plans={plans}
        cut={cut}
        drawn={drawn}
        corners={measured.length > 0 ? cornersNow(start, operation) : bySize ? start.hole : []}
        follows={isDrawn}
        onPut={bySize ? null : (corner) => put(corner, `corner ${corner.name}`)}
      />
      <div className="hole-entry">
        {measured.length === 0 ? <p className="say">{t("hole.how")}</p> : null}
        {measured.length === 0 ? <MeasuredBy {...props} /> : null}
        {bySize ? <Size {...props} /> : <OneCorner {...props} onPut={put} />}
        <Depth {...props} />
        <p className="small">{t("hole.gapes")}</p>
        {measured.length > 0 ? (
          <button
            type="button"
            className="quiet"
            onClick={() => record(t("hole.drop"), (op) => ({ ...op, measured: [] }))}
          >
            {t("hole.drop")}
          </button>
        ) : null}
        <Branches {...props} pits={start.pits} />
      </div>
    </div>
  );
}

/** With the ruler along two lines, or corner by corner where the hole lies otherwise. */
function MeasuredBy({ bySize, onBySize }: HoleProps) {
  const t = useSay("theatre");
  return (
    <Choice
      label={t("hole.by")}
      options={[
        { value: "size", word: t("hole.by_size") },
        { value: "corners", word: t("hole.by_corners") },
      ]}
      value={bySize ? "size" : "corners"}
      onChoose={(by) => onBySize(by === "size")}
    />
  );
}

/** Length from end to end and width between the other corners. */
function Size({ start, operation, refusals, record }: HoleProps) {
  const t = useSay("theatre");
  const [first, second, third, fourth] = letters(start.corners);
  const lines = [
    { field: "hole_length_mm", from: first, to: third, planned_mm: start.length_mm },
    { field: "hole_width_mm", from: second, to: fourth, planned_mm: start.width_mm },
  ] as const;
  return (
    <>
      {lines.map(({ field, from, to, planned_mm }) => (
        <Stepper
          key={field}
          label={t(`hole.${field}`, { from, to })}
          unit="mm"
          least={1}
          begins={planned_mm}
          planned={t("hole.planned", { mm: measure(planned_mm, "mm") })}
          value={operation?.[field] ?? null}
          sentence={said(refusals, ["operation", field])}
          onValue={(mm) =>
            record(
              t(`hole.${field}`, { from, to }),
              (op) => ({ ...op, [field]: (mm as unknown) === "" ? null : mm }),
              field,
            )
          }
        />
      ))}
      {start.hole_refused ? (
        <p role="status" className="hole-refused">
          <Told>{start.hole_refused}</Told>
        </p>
      ) : null}
      <p className="small">{t("hole.size_alone")}</p>
    </>
  );
}

type CornerEntryProps = HoleProps & { onPut: (corner: MeasuredCorner, merge: string) => void };

/** Choose a corner, and measure it. */
function OneCorner(props: CornerEntryProps) {
  const { start, operation, letter, onLetter } = props;
  const t = useSay("theatre");
  const isMeasured = (name: string) => operation?.measured.some((each) => each.name === name);
  return (
    <>
      <Choice
        label={t("hole.corner")}
        options={start.corners.map(({ name }) => ({
          value: name,
          word: isMeasured(name) ? t("hole.measured", { corner: name }) : name,
        }))}
        value={letter}
        onChoose={onLetter}
      />
      <CornerEntry {...props} key={letter} />
    </>
  );
}

/** One corner: above the coccyx tip, off the midline, and the side in full words. */
function CornerEntry({ start, operation, refusals, letter, onPut }: CornerEntryProps) {
  const t = useSay("theatre");
  const word = useSideWord();
  const index = operation?.measured.findIndex((each) => each.name === letter) ?? -1;
  const corner = cornersNow(start, operation).find((each) => each.name === letter);
  const planned = start.corners.find((each) => each.name === letter);
  if (!corner || !planned) return null;
  const at = (field: string) => said(refusals, ["operation", "measured", index, field]);
  const sides = [LEFT, RIGHT].map((side) => ({ value: side, word: word(side) }));
  return (
    <div className={index < 0 ? "corner-entry corner-open" : "corner-entry"}>
      {index < 0 ? <p className="small">{t("hole.not_measured", { corner: letter })}</p> : null}
      <Stepper
        label={t("hole.above")}
        unit="mm"
        planned={t("hole.planned", { mm: measure(planned.above_coccyx_tip_mm, "mm") })}
        value={corner.above_coccyx_tip_mm}
        sentence={at("above_coccyx_tip_mm")}
        hint={t("hole.below_hint")}
        onValue={(mm) => onPut({ ...corner, above_coccyx_tip_mm: mm }, `above ${letter}`)}
      />
      <Stepper
        label={t("hole.off")}
        unit="mm"
        least={0}
        planned={t("hole.planned", { mm: measure(planned.off_midline_mm, "mm") })}
        value={corner.off_midline_mm}
        sentence={at("off_midline_mm")}
        onValue={(mm) => onPut({ ...corner, off_midline_mm: mm }, `off ${letter}`)}
      />
      {corner.off_midline_mm === 0 ? null : (
        <Choice
          label={t("hole.side")}
          options={sides}
          value={corner.side}
          sentence={corner.side === null ? t("hole.no_side", { corner: letter }) : null}
          onChoose={(side) => onPut({ ...corner, side }, `side ${letter}`)}
        />
      )}
    </div>
  );
}

function Depth({ start, operation, refusals, record }: InTheatre) {
  const t = useSay("theatre");
  const depth = operation?.defect_depth_mm ?? null;
  return (
    <Stepper
      label={t("hole.depth")}
      unit="mm"
      least={1}
      begins={start.depth_mm}
      planned={t("hole.planned", { mm: measure(start.depth_mm, "mm") })}
      value={depth}
      sentence={said(refusals, ["operation", "defect_depth_mm"])}
      hint={depth === null ? t("hole.no_depth") : undefined}
      onValue={(mm) =>
        record(
          t("hole.depth"),
          (op) => ({ ...op, defect_depth_mm: (mm as unknown) === "" ? null : mm }),
          "depth of the hole",
        )
      }
    />
  );
}
