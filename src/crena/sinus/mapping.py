"""The tract map of a case: from probing alone, or from scan and probing laid together."""

from concurrent.futures import Executor
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from crena.geometry.frames import skin_frame, to_skin_mm
from crena.geometry.registration import target_error_mm
from crena.geometry.unrolling import SkinMap, height_mm, skin_map, unroll_mm
from crena.records import (
    BodyEntry,
    Case,
    Cavity,
    Disagreement,
    InputError,
    Origin,
    Pit,
    Precision,
    Probing,
    ScanClicks,
    SkinFrame,
    Spot,
    Surface,
    Tract,
    TractMap,
    Volume,
    point3,
)
from crena.records.progress import Progress, silent
from crena.sinus.doors import (
    check_names,
    checked,
    landmarks_of,
    refuse_other_series,
    refuse_other_side,
)
from crena.sinus.floor import entered_floor, floor_surface
from crena.sinus.probing import entered_pit, entered_skin, probed_cavity, probed_tract
from crena.sinus.readings import cavity_of, tract_of
from crena.sinus.skin import ReadSkin, read_skin
from crena.sinus.spots import smallest_branch_mm, unconnected_spots
from crena.sinus.trace import TracedCavity, TracedTract, trace_cavity, trace_tract

Floats = NDArray[np.float64]

SAME_PIT_MM = 5.0
"""A clicked pit this near to an entered one is the same pit (assumed)."""

CLOSE_ENOUGH_MM = 5.0
"""Probed and scanned blind ends further apart than this are both cleared (assumed)."""

VERTEX_STEP_MM = 1.0


def map_from_probing(case: Case) -> TractMap:
    """Return the map that ruler and probe describe.

    Parameters
    ----------
    case : Case
        Pits, probings and the measures of the region.

    Raises
    ------
    InputError
        If nothing was found, a pit is unknown, or a tract runs into the bone.
    """
    if not case.pits:
        raise InputError("The case has no pit. Enter at least one, with its place on the skin.")
    check_names(case)
    surface = entered_skin(case.body)
    skin = skin_map(surface)
    pits = tuple(entered_pit(entry, skin) for entry in case.pits)
    tracts, cavities = _felt(case.probings, pits, skin, case.precision)
    floor = _entered_floor(case, surface)
    verge = np.array([[0.0, -case.body.anal_verge_below_coccyx_tip_mm]])
    return checked(
        TractMap(
            pits=pits,
            tracts=tracts,
            cavities=cavities,
            spots=(),
            skin=surface,
            floor=floor,
            anal_verge_mm=point3(np.array([*verge[0], height_mm(skin, verge)[0]])),
            disagreements=(),
            registration_sd_mm=case.precision.registration_sd_mm,
            smallest_branch_mm=None,
            notes=("No scan: only what the probe felt is on the map.", *_entered_notes(case)),
        )
    )


def map_from_scan(
    case: Case,
    volume: Volume,
    *,
    executor: Executor | None = None,
    progress: Progress = silent,
) -> TractMap:
    """Return the map that the scan shows between the clicks, with the probing laid over it.

    Parameters
    ----------
    case : Case
        With the surgeon's clicks; probing where there is any.
    volume : Volume
        The series that was clicked.
    executor : Executor, optional
        Threads that trace tracts and cavities at the same time; none: one after another.
    progress : callable
        Told what is being done and the share that is done.

    Raises
    ------
    InputError
        If there are no clicks, or a tract runs into the bone.
    """
    clicks = case.clicks
    if clicks is None or not clicks.tracts:
        raise InputError("The case has a scan but no clicks on it. Click each tract's two ends.")
    check_names(case)
    refuse_other_series(clicks, volume)
    frame = frame_of(clicks)
    read, traced, hollows = _read(volume, frame, clicks, executor, progress)
    surface, skin = read.surface, skin_map(read.surface)
    pits = _pits(case, traced, frame, skin)
    scanned = tuple(_tract(t, frame, skin) for t in traced)
    probed, probed_cavities = _felt(case.probings, pits, skin, case.precision)
    tracts, disagreements = _laid_together(scanned, probed)
    progress("Looking for spots that join nothing", 0.9)
    floor = _floor(case, clicks, surface, frame)
    entered = _floor_notes(case) if floor.origin is Origin.ENTERED else ()
    return checked(
        TractMap(
            pits=pits,
            tracts=tracts,
            cavities=(*(_cavity(h, frame) for h in hollows), *_unseen(probed_cavities, tracts)),
            spots=_spots(volume, traced, hollows, frame),
            skin=surface,
            floor=floor,
            anal_verge_mm=point3(to_skin_mm(frame, landmarks_of(clicks)[2:])[0]),
            disagreements=disagreements,
            registration_sd_mm=_shared_sd_mm(case, clicks, tracts, frame),
            smallest_branch_mm=smallest_branch_mm(volume),
            notes=(*volume.notes, *read.notes, *_notes(traced, hollows), *entered),
        )
    )


def frame_of(clicks: ScanClicks) -> SkinFrame:
    """Return where the skin frame lies in the scanner, by the clicked landmarks.

    Raises
    ------
    InputError
        If a landmark is missing, or they do not tell right from left.
    """
    return skin_frame(*landmarks_of(clicks), clicks.midline_bone_lps_mm)


def probed_on(found: TractMap, case: Case) -> tuple[Tract, ...]:
    """Return what the probe alone says of the tracts, laid on the skin of a map.

    Parameters
    ----------
    found : TractMap
        The map of this case.
    case : Case
        Its probings.

    Raises
    ------
    InputError
        If a probed pit is not on the map.
    """
    return _felt(case.probings, found.pits, skin_map(found.skin), case.precision)[0]


def with_branch(found: TractMap, probing: Probing, precision: Precision) -> TractMap:
    """Return a map with one more probed tract, as when the dye shows a new branch.

    Parameters
    ----------
    found : TractMap
        The map so far.
    probing : Probing
        The new branch, from a pit of the map.
    precision : Precision
        Errors of length and angle.

    Raises
    ------
    InputError
        If the pit is not on the map, or the branch runs into the bone.
    """
    tracts, cavities = _felt((probing,), found.pits, skin_map(found.skin), precision)
    return checked(
        replace(found, tracts=(*found.tracts, *tracts), cavities=(*found.cavities, *cavities))
    )


def _felt(
    probings: tuple[Probing, ...], pits: tuple[Pit, ...], skin: SkinMap, precision: Precision
) -> tuple[tuple[Tract, ...], tuple[Cavity, ...]]:
    by_name = {pit.name: pit for pit in pits}
    tracts, cavities = [], []
    for probing in probings:
        if probing.pit not in by_name:
            names = ", ".join(by_name)
            raise InputError(
                f"Tract {probing.tract} starts at pit “{probing.pit}”, but the pits are: {names}."
            )
        tract = probed_tract(probing, by_name[probing.pit], skin, precision)
        tracts.append(tract)
        cavities.append(probed_cavity(probing, tract, tract.sd_mm))
    return tuple(tracts), tuple(c for c in cavities if c is not None)


def _read(
    volume: Volume,
    frame: SkinFrame,
    clicks: ScanClicks,
    executor: Executor | None,
    progress: Progress,
) -> tuple[ReadSkin, tuple[TracedTract, ...], tuple[TracedCavity, ...]]:
    """Read skin, tracts and cavities; with an executor all at the same time."""
    results = map if executor is None else executor.map
    skins = results(partial(read_skin, volume), [frame])
    coming_tracts = results(partial(trace_tract, volume), clicks.tracts)
    coming_cavities = results(partial(trace_cavity, volume), clicks.cavities)
    progress("Finding the skin", 0.0)
    read = next(skins)
    steps = len(clicks.tracts) + len(clicks.cavities)
    tracts, cavities = [], []
    for n, clicked in enumerate(clicks.tracts):
        progress(f"Tracing {clicked.name}", 0.1 + 0.8 * n / steps)
        tracts.append(next(coming_tracts))
    for n, hollow in enumerate(clicks.cavities, start=len(clicks.tracts)):
        progress(f"Outlining {hollow.name}", 0.1 + 0.8 * n / steps)
        cavities.append(next(coming_cavities))
    return read, tuple(tracts), tuple(cavities)


def _shared_sd_mm(
    case: Case, clicks: ScanClicks, tracts: tuple[Tract, ...], frame: SkinFrame
) -> float:
    """Return the error of the whole map, each axis: posture, and the landmarks' clicks."""
    landmarks = to_skin_mm(
        frame,
        [*landmarks_of(clicks), *clicks.midline_bone_lps_mm],
    )
    middle = np.concatenate([np.array(t.centre_mm) for t in tracts]).mean(axis=0)
    error = target_error_mm(landmarks, middle, np.sqrt(3) * case.precision.click_sd_mm)
    return float(np.hypot(case.precision.registration_sd_mm, error / np.sqrt(3)))


def _notes(traced: tuple[TracedTract, ...], hollows: tuple[TracedCavity, ...]) -> tuple[str, ...]:
    of_tracts = [note for tract in traced for note in tract.notes]
    return (*of_tracts, *(note for hollow in hollows for note in hollow.notes))


def _tract(traced: TracedTract, frame: SkinFrame, skin: SkinMap) -> Tract:
    centre, radius = _thinned(to_skin_mm(frame, traced.centre_lps_mm), traced.radius_mm)
    return tract_of(
        traced.name,
        centre,
        radius,
        skin,
        origin=Origin.SCAN,
        sds_mm=(
            float(np.hypot(traced.sd_mm, traced.end_sd_mm / np.sqrt(3))),
            traced.length_sd_mm,
        ),
    )


def _thinned(centre: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Keep a vertex about every millimetre, and both ends."""
    steps = np.linalg.norm(np.diff(centre, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(steps)])
    n = max(2, int(np.ceil(at[-1] / VERTEX_STEP_MM)) + 1)
    keep = np.unique(np.searchsorted(at, np.linspace(0, at[-1], n)).clip(0, len(at) - 1))
    return centre[keep], radius[keep]


def _cavity(traced: TracedCavity, frame: SkinFrame) -> Cavity:
    turned = to_skin_mm(frame, traced.half_axes_lps_mm) - to_skin_mm(frame, np.zeros((1, 3)))
    return cavity_of(
        traced.name,
        to_skin_mm(frame, [traced.centre_lps_mm])[0],
        turned,
        origin=Origin.SCAN,
        sd_mm=traced.sd_mm,
    )


def _pits(
    case: Case, traced: tuple[TracedTract, ...], frame: SkinFrame, skin: SkinMap
) -> tuple[Pit, ...]:
    """Return the entered pits, and each clicked one that lies near none of them."""
    entered = [entered_pit(entry, skin) for entry in case.pits]
    for tract in traced:
        position = to_skin_mm(frame, tract.centre_lps_mm[:1])[0]
        near = [p for p in entered if np.linalg.norm(position - p.position_mm) < SAME_PIT_MM]
        if not near:
            s, y = unroll_mm(skin, position[None, :2])[0]
            entered.append(
                Pit(
                    name=f"of {tract.name}",
                    at_mm=(float(s), float(y)),
                    position_mm=point3(position),
                    radius_mm=float(tract.radius_mm[0]),
                    origin=Origin.SCAN,
                )
            )
    return tuple(entered)


def _laid_together(
    scanned: tuple[Tract, ...], probed: tuple[Tract, ...]
) -> tuple[tuple[Tract, ...], tuple[Disagreement, ...]]:
    """Keep what the scan shows, what only the probe felt, and both where they disagree."""
    by_name = {t.name: t for t in scanned}
    kept, disagreements = list(scanned), []
    for felt in probed:
        seen = by_name.get(felt.name)
        if seen is None:
            kept.append(felt)
            continue
        refuse_other_side(seen, felt)
        apart = _disagreement(seen, felt)
        disagreements.append(apart)
        if apart.blind_end_mm > CLOSE_ENOUGH_MM:
            kept.append(replace(felt, name=f"{felt.name}, probed"))
    return tuple(kept), tuple(disagreements)


def _disagreement(seen: Tract, felt: Tract) -> Disagreement:
    line, probe = np.array(seen.centre_mm), np.array(felt.centre_mm)
    distance, _ = cKDTree(line).query(probe)
    return Disagreement(
        tract=seen.name,
        blind_end_mm=float(np.linalg.norm(line[-1] - probe[-1])),
        mean_mm=float(np.mean(distance)),
        length_mm=seen.length_mm - felt.length_mm,
    )


def _unseen(cavities: tuple[Cavity, ...], tracts: tuple[Tract, ...]) -> tuple[Cavity, ...]:
    """Keep a probed cavity only where its probed tract is kept."""
    kept = {t.name.removesuffix(", probed") for t in tracts if t.origin is Origin.PROBING}
    return tuple(c for c in cavities if c.name.removesuffix(" end") in kept)


def _entered_floor(case: Case, surface: Surface) -> Surface:
    return entered_floor(
        surface,
        presacral_depth_mm=case.body.presacral_depth_mm,
        gluteal_depth_mm=case.body.gluteal_depth_mm,
        transition_half_width_mm=case.body.cleft_half_width_mm,
    )


def _floor(case: Case, clicks: ScanClicks, surface: Surface, frame: SkinFrame) -> Surface:
    if not clicks.presacral_lps_mm and not clicks.gluteal_lps_mm:
        return _entered_floor(case, surface)
    presacral, gluteal = (
        to_skin_mm(frame, np.array(points).reshape(-1, 3))
        for points in (clicks.presacral_lps_mm, clicks.gluteal_lps_mm)
    )
    return floor_surface(surface, presacral, gluteal)


def _spots(
    volume: Volume,
    traced: tuple[TracedTract, ...],
    hollows: tuple[TracedCavity, ...],
    frame: SkinFrame,
) -> tuple[Spot, ...]:
    found = unconnected_spots(volume, traced, hollows)
    return tuple(
        Spot(
            name=f"S{n}",
            centre_mm=point3(to_skin_mm(frame, [spot.centre_lps_mm])[0]),
            radius_mm=spot.radius_mm,
            gap_mm=spot.gap_mm,
        )
        for n, spot in enumerate(found, start=1)
    )


def _entered_notes(case: Case) -> tuple[str, ...]:
    body = case.body
    if body == BodyEntry():
        cleft = "The cleft was not measured; one of 20 mm depth is assumed."
    else:
        cleft = f"The cleft was entered as {body.cleft_depth_mm:.0f} mm deep."
    return (cleft, *_floor_notes(case))


def _floor_notes(case: Case) -> tuple[str, ...]:
    """Say that the fascia was not seen, and whether its depth was measured at all."""
    body, usual = case.body, BodyEntry()
    depths = (body.presacral_depth_mm, body.gluteal_depth_mm)
    measured = depths != (usual.presacral_depth_mm, usual.gluteal_depth_mm)
    word = "entered" if measured else "assumed, not measured"
    return (
        f"The fascia was not seen: presacral {depths[0]:.0f} mm and gluteal {depths[1]:.0f} mm "
        f"below the skin are {word}.",
    )
