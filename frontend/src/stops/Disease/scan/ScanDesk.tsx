import { useRef, useState } from "react";
import { useSay } from "../../../i18n/say";
import { Controls, SliceSteps } from "../../../scan/Controls";
import { atVoxel, firstLook, type Looking } from "../../../scan/looking";
import { SlicePicture } from "../../../scan/SlicePicture";
import { pixelOf, type Voxel } from "../../../scan/slices";
import type { Scan } from "../../../scan/useScan";
import { Note } from "../../../shell/Note";
import { Told } from "../../../shell/Told";
import type { StopProps } from "../../contract";
import { MapPart } from "./MapPart";
import { type Chosen, MarkList } from "./MarkList";
import { type DrawnMark, MarkSign } from "./MarkSign";
import {
  allTargets,
  areOfAnother,
  clicksOf,
  type Mark,
  marksOf,
  sameTarget,
  withMark,
  withoutMark,
} from "./marks";
import { OtherSeries } from "./OtherSeries";
import { placeOf, useVoxels } from "./places";
import { TakeOut } from "./TakeOut";
import { useOutlines } from "./useScanMap";

/** A mark beside the slice is drawn as far as this, faintly. */
const BESIDE_MM = 2;

/** The slices of a scan, what is marked on them, and the map that is made of it. */
export function ScanDesk(props: StopProps & { scan: Scan }) {
  const t = useSay("scan");
  const { scan, entered, edit, revision } = props;
  const [look, setLook] = useState<Looking>(() => firstLook(scan.picture));
  const [chosen, choose] = useState<Chosen | null>(null);
  const [sentence, setSentence] = useState("");
  const picture = useRef<HTMLDivElement>(null);
  const clicks = clicksOf(entered);
  const marks = allTargets(clicks).flatMap((target) => marksOf(clicks, target));
  const places = marks.map((mark) => mark.place);
  const series = scan.picture.voxels_sha256;
  const voxels = useVoxels(revision.case_id, series, places);
  const outlines = useOutlines(revision).data ?? [];
  const { slice } = pixelOf(look.view, look.cursor);
  const name = useMarkName();

  const begin = (next: Chosen | null) => {
    choose(next);
    if (next) picture.current?.scrollIntoView({ block: "nearest" });
  };
  const voxelOfMark = (mark: Mark) =>
    voxels[marks.findIndex((m) => m.path.join() === mark.path.join())];
  const show = (mark: Mark) => {
    const voxel = voxelOfMark(mark);
    if (voxel) setLook(atVoxel(look, voxel));
  };
  const remove = (mark: Mark) => {
    edit(t("edit.remove", { name: name(mark) }), (c) => withoutMark(c, mark));
    if (chosen) choose({ ...chosen, point: null });
  };
  const mark = (at: Looking) => {
    setLook(at);
    if (!chosen || areOfAnother(clicks, scan.picture.series_uid)) return;
    const { target, point } = chosen;
    setSentence("");
    placeOf(revision.case_id, series, at.cursor)
      .then((place) =>
        edit(t("edit.mark", { name: name({ target, number: point ?? 0 }) }), (c) =>
          withMark(c, target, point, place, scan.picture.series_uid),
        ),
      )
      .catch((fault: Error) => setSentence(fault.message));
  };

  return (
    <div className="scan-desk">
      <div className="scan-desk-picture">
        <Instruction chosen={chosen} />
        <div ref={picture}>
          <SlicePicture
            scan={scan}
            look={look}
            onLook={setLook}
            onSet={mark}
            help={t("keys")}
            signs={(px_mm) =>
              marks
                .flatMap((each, n) => drawn(each, voxels[n], look, chosen, name))
                .map((sign) => (
                  <MarkSign
                    key={sign.name + sign.kind + sign.x + sign.y}
                    mark={sign}
                    px_mm={px_mm}
                  />
                ))
            }
            outlines={outlines.filter((o) => o.view === look.view.name && o.slice_number === slice)}
          />
        </div>
        <div className="slice-controls">
          <SliceSteps look={look} onLook={setLook} />
          {chosen ? (
            <button type="button" className="outlined" onClick={() => mark(look)}>
              {t("mark_here")}
            </button>
          ) : null}
          <Controls scan={scan} look={look} onLook={setLook} help={t("keys")} />
        </div>
        {sentence ? (
          <p role="alert" className="scan-refused">
            <Told>{sentence}</Told>
          </p>
        ) : null}
      </div>
      <div className="scan-desk-marks">
        <OtherSeries entered={entered} edit={edit} seriesUid={scan.picture.series_uid} />
        <Note title={t("marks")}>
          <MarkList {...props} chosen={chosen} choose={begin} show={show} remove={remove} />
        </Note>
        <AboutSeries {...props} />
      </div>
      <div className="scan-desk-map">
        <MapPart {...props} />
      </div>
    </div>
  );
}

/** What a tap on the picture does now. */
function Instruction({ chosen }: { chosen: Chosen | null }) {
  const t = useSay("scan");
  const name = useMarkName();
  const words = chosen
    ? t("tap_marks", { name: name({ target: chosen.target, number: chosen.point ?? 0 }) })
    : t("tap_looks");
  return (
    <p className="scan-instruction" aria-live="polite">
      {words}
    </p>
  );
}

function AboutSeries({ scan, revision, refresh }: StopProps & { scan: Scan }) {
  const t = useSay("scan");
  const { picture } = scan;
  return (
    <Note title={t("series")}>
      <p>
        {t("series_size", {
          slices: picture.slices,
          rows: picture.rows,
          columns: picture.columns,
          thickness: picture.thickness_mm,
        })}
      </p>
      {Math.round(picture.tilt_deg) > 0 ? (
        <p>{t("tilt", { deg: Math.round(picture.tilt_deg) })}</p>
      ) : null}
      {picture.notes.map((sentence) => (
        <p key={sentence}>
          <Told>{sentence}</Told>
        </p>
      ))}
      <TakeOut caseId={revision.case_id} refresh={refresh} />
    </Note>
  );
}

/** A mark as it is drawn; nothing while its place is not known or lies on a far slice. */
function drawn(
  mark: Mark,
  voxel: Voxel | undefined,
  { view, cursor }: Looking,
  chosen: Chosen | null,
  name: (mark: Named) => string,
): DrawnMark[] {
  if (!voxel) return [];
  const [at, here] = [pixelOf(view, voxel), pixelOf(view, cursor)];
  const isHere = Math.round(at.slice) === here.slice;
  if (!isHere && Math.abs(at.slice - here.slice) * view.step_mm > BESIDE_MM) return [];
  const isOfChosen = sameTarget(chosen?.target ?? null, mark.target);
  const isChosen = isOfChosen && (!mark.target.many || chosen?.point === mark.number);
  const { kind } = mark.target;
  const [x, y] = [at.across * view.column_mm, at.down * view.row_mm];
  return [{ kind, name: name(mark), x, y, isChosen, isHere }];
}

type Named = Pick<Mark, "target" | "number">;

/** "T1, pit"; "Back face of the sacrum, point 3". */
function useMarkName(): (mark: Named) => string {
  const t = useSay("scan");
  return ({ target, number }) => {
    const what = t(`mark.${target.kind}`);
    if (target.kind === "cavity") return target.of;
    const whole = target.of ? t("mark_of", { of: target.of, what }) : what;
    return target.many && number > 0 ? t("mark_number", { what: whole, number }) : whole;
  };
}
