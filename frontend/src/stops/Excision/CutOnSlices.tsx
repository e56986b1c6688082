import { useEffect, useState } from "react";
import { refusalOf } from "../../api/queries";
import type { CutSlice, Plan, PlanSet } from "../../api/records";
import { measure } from "../../i18n/figures";
import { useSay } from "../../i18n/say";
import type { Moving } from "../../moving/useMoving";
import { Controls, SliceSteps } from "../../scan/Controls";
import { atVoxel, closer, firstLook, type Looking } from "../../scan/looking";
import { SlicePicture } from "../../scan/SlicePicture";
import { type Scan, useScan } from "../../scan/useScan";
import { Fold } from "../../shell/Fold";
import { Told } from "../../shell/Told";
import type { StopProps } from "../contract";
import { useCutSlice } from "./useCutSlice";

type CutOnSlicesProps = StopProps & { plans: PlanSet; plan: Plan; moving: Moving };

/** Shown so much closer than the whole slice: the cut fills it. */
const CLOSER = 2;

/** The cut in the depth: skin, walls and floor on the slices of the scan. */
export function CutOnSlices(props: CutOnSlicesProps) {
  const t = useSay("excision");
  const { revision, goTo } = props;
  const words = useSay("scan");
  const { data: scan, error, refetch } = useScan(revision);
  const stored = revision.dossier.scan;
  return (
    <section className="cut-slices" aria-labelledby="cut-slices-title">
      <h2 id="cut-slices-title">{t("slices.title")}</h2>
      {stored === null ? (
        <>
          <p className="small">{t("slices.none")}</p>
          <button type="button" className="quiet" onClick={() => goTo("disease")}>
            {t("slices.add")}
          </button>
        </>
      ) : null}
      {stored && !scan && !error ? <p>{words("loading", { slices: stored.slices })}</p> : null}
      {error ? (
        <>
          <p role="alert">
            <Told>{refusalOf(error) ?? error.message}</Told>
          </p>
          <button type="button" className="quiet" onClick={() => void refetch()}>
            {t("slices.again")}
          </button>
        </>
      ) : null}
      {scan ? <Sliced {...props} scan={scan} /> : null}
    </section>
  );
}

/** Without a decimal that says nothing: "5 mm", "6.5 mm". */
function asWritten(mm: number): string {
  return measure(mm, "mm", Number.isInteger(mm) ? 0 : 1);
}

/** Seen from the slice on where a wall comes nearest; the first answer says which it is. */
function Sliced({
  scan,
  plans,
  plan,
  moving,
  entered,
  revision,
}: CutOnSlicesProps & { scan: Scan }) {
  const t = useSay("excision");
  const help = useSay("scan")("keys_look");
  const [look, setLook] = useState<Looking>(() => firstLook(scan.picture));
  const [placed, place] = useState(false);
  const asked = {
    plan: plan.id,
    code: plans.code,
    moves: moving.shownMoves,
    limits: entered.limits,
    asks: moving.preview !== null || moving.moves.length === 0,
    saved: revision.number,
  };
  const { cut, refused } = useCutSlice(revision.case_id, asked, look);
  const margin_mm = moving.shown.excision.chance_clear.at_least_mm;
  const toNearest = ({ nearest_voxel }: CutSlice) => setLook(atVoxel(look, nearest_voxel));
  useEffect(() => {
    if (placed || !(cut || refused)) return;
    if (cut) setLook(closer(atVoxel(firstLook(scan.picture), cut.nearest_voxel), CLOSER));
    place(true);
  }, [placed, cut, refused, scan]);
  return (
    <>
      <div style={placed ? {} : { visibility: "hidden" }}>
        <SlicePicture
          scan={scan}
          look={look}
          onLook={setLook}
          onSet={setLook}
          help={help}
          outlines={cut?.outlines ?? []}
        />
      </div>
      {refused ? (
        <p role="alert">
          <Told>{refused}</Told>
        </p>
      ) : (
        <p className="small">{t("slices.key", { mm: asWritten(margin_mm) })}</p>
      )}
      <div className="slice-controls">
        <SliceSteps look={look} onLook={setLook} />
        <button
          type="button"
          className="quiet"
          disabled={!cut}
          onClick={() => (cut ? toNearest(cut) : null)}
        >
          {t("slices.nearest")}
        </button>
        <Fold title={t("slices.look")}>
          <div className="slice-controls">
            <Controls scan={scan} look={look} onLook={setLook} help={help} />
          </div>
        </Fold>
      </div>
    </>
  );
}
