"""The main job: from a case file, and a scan if there is one, to plans on paper."""

import hashlib
import platform
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
import scipy
from pydantic import TypeAdapter

import crena
from crena.app.case_files import CASES, plan_text, read_case, write_all
from crena.app.workers import Processes, processors
from crena.draw import Paper, plan_pdf, template_dxf, template_pdf, template_svg
from crena.imaging import read_series
from crena.mechanics.ensemble import AXIS_SD_DEG, SkinGuesses, assumed_skins
from crena.mechanics.material import ASSUMED_SKIN, Skin
from crena.mechanics.pinch import TensionLines, skin_with, tension_lines
from crena.mechanics.sweeps import Workers
from crena.planning.compose import Provenance, plan_case, with_figures
from crena.planning.films import films_of
from crena.planning.own import with_own_plan
from crena.planning.pull import Simulation
from crena.planning.theatre import plan_in_theatre, plan_that_was_cut
from crena.records import (
    Aftercare,
    Case,
    Choice,
    InputError,
    Language,
    MeasuredCorner,
    Moved,
    PlanSet,
    Preparation,
    Probing,
    Record,
    Volume,
)
from crena.records.progress import Progress, part_of
from crena.sinus.mapping import map_from_probing, map_from_scan

SKINS = 64
"""Guessed skins on which the pull of every plan is computed."""

LEAST_SPREAD_DEG = 5.0
"""Tension lines are never taken to be known better than this (assumed)."""

FOUND = TypeAdapter(tuple[str, tuple[MeasuredCorner, ...], float | None, tuple[Probing, ...]])
SIZE = TypeAdapter(tuple[float | None, float | None])

PLAN_FILES = ("plan.json", "plan.pdf", "template.pdf", "template.svg", "template.dxf")
"""What the job writes, all or none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order(Record):
    """What is to be planned, onto which paper, and in which language."""

    case_file: Path
    mri_folder: Path | None
    out_folder: Path
    paper: Paper
    choice: str | None  #: overrides the case's own
    language: Language = Language.ENGLISH


def run(order: Order, today: date, progress: Progress) -> PlanSet:
    """Plan one case and write all its files.

    Parameters
    ----------
    order : Order
        Files and paper.
    today : date
        For the timing gate and the sheets.
    progress : callable
        Told what is being done and the share that is done; may raise to cancel.

    Returns
    -------
    PlanSet
        As written.

    Raises
    ------
    InputError, NoPlanError
        With nothing written.
    """
    case = read_case(order.case_file)
    if order.choice is not None:
        case = replace(case, choice=Choice(plan=order.choice))
    with Processes(processors()) as workers:
        workers.warmed()
        volume = _volume(order, case, progress)
        plan_set = plan(case, volume, today, workers, progress)
        progress("Drawing the sheets", 0.85)
        contents = sheets(plan_set, order, middle_skin(case), workers.executor())
    write_all(order.out_folder, contents)
    progress("Done", 1.0)
    return plan_set


def plan(
    case: Case, volume: Volume | None, today: date, workers: Workers, progress: Progress
) -> PlanSet:
    """Map the disease and plan its closure, without touching a file."""
    if volume is None:
        tract_map = map_from_probing(case)
    else:
        with ThreadPoolExecutor(processors()) as threads:
            tract_map = map_from_scan(
                case, volume, executor=threads, progress=part_of(progress, 0.15, 0.5)
            )
    made = plan_case(
        case,
        tract_map,
        provenance_of(case, volume),
        today=today,
        simulation=Simulation(skins=_skins(case), workers=workers),
        progress=part_of(progress, 0.5, 0.85),
    )
    return replace(made, cautions=(*made.cautions, *_pinch_cautions(case)))


def plan_again(case: Case, planned: PlanSet, today: date, progress: Progress) -> PlanSet:
    """Plan in theatre for what was found there, at once and without the pull."""
    name = theatre_hash_of(case, planned)
    provenance = replace(provenance_of(case, None), inputs_hash=name, code=f"T{name[:6].upper()}")
    return plan_in_theatre(case, planned, provenance, today=today, progress=progress)


def figured(case: Case, made: PlanSet, workers: Workers, progress: Progress) -> PlanSet:
    """Return plans made in theatre with their pull and the room that stays empty."""
    simulation = Simulation(skins=_skins(case), workers=workers)
    return with_figures(made, case, simulation, progress)


def theatre_hash_of(case: Case, planned: PlanSet) -> str:
    """Return the SHA-256 of exactly this hole and these branches, on exactly these plans."""
    found, digest = case.operation, hashlib.sha256(planned.inputs_hash.encode())
    cut = plan_that_was_cut(case, planned).id
    if found is not None:
        hole = found.measured, found.defect_depth_mm, found.branches
        digest.update(FOUND.dump_json((cut, *hole)))
        if not found.measured:
            digest.update(SIZE.dump_json((found.hole_length_mm, found.hole_width_mm)))
    return digest.hexdigest()


def plan_own(
    case: Case, plan_set: PlanSet, moved: Moved, workers: Workers, progress: Progress
) -> PlanSet:
    """Set a plan that was moved by hand beside the others, closed on the same guessed skins."""
    simulation = Simulation(skins=_skins(case), workers=workers)
    return with_own_plan(plan_set, moved, case, simulation, progress)


def _skins(case: Case) -> SkinGuesses:
    """Return guesses round the middle skin, its tension lines known as well as pinched."""
    lines, spread_deg = _pinched(case), AXIS_SD_DEG
    if lines is not None and not lines.warnings:
        spread_deg = max(lines.axis_error_deg, LEAST_SPREAD_DEG)
    middle, rng = middle_skin(case), np.random.default_rng(case.seed)
    return SkinGuesses(
        middle=middle,
        ensemble=assumed_skins(SKINS, rng, middle, axis_sd_deg=spread_deg),
        axis_sd_deg=spread_deg,
    )


def middle_skin(case: Case) -> Skin:
    """Return the assumed skin, with its tension lines as they were pinched if they say one way."""
    lines = _pinched(case)
    if lines is None or lines.warnings:
        return ASSUMED_SKIN
    return skin_with(ASSUMED_SKIN, lines)


def _pinched(case: Case) -> TensionLines | None:
    folds = case.skin.folds
    if folds is None:
        return None
    return tension_lines(
        (folds.across_mm, folds.rising_right_mm, folds.along_mm, folds.rising_left_mm)
    )


def _pinch_cautions(case: Case) -> tuple[str, ...]:
    lines = _pinched(case)
    if lines is None or not lines.warnings:
        return ()
    return (*lines.warnings, "The assumed tension lines are used, not the pinched ones.")


def sheets(plan_set: PlanSet, order: Order, skin: Skin, executor: Executor) -> dict[str, bytes]:
    """Return all files of one plan set by name; the film is computed while templates are drawn."""
    films = executor.submit(films_of, plan_set, skin)
    paper, language = order.paper, order.language
    templates = (
        template_pdf(plan_set, paper=paper, language=language),
        template_svg(plan_set, language=language),
        template_dxf(plan_set, language=language),
    )
    contents = (
        plan_text(plan_set).encode(),
        plan_pdf(plan_set, paper=paper, films=films.result(), language=language),
        *templates,
    )
    return dict(zip(PLAN_FILES, contents, strict=True))


def provenance_of(case: Case, volume: Volume | None) -> Provenance:
    """Name exactly these inputs: one changed figure gives another code."""
    name = inputs_hash_of(case, None if volume is None else voxels_sha256(volume))
    return Provenance(
        inputs_hash=name,
        code=f"C{name[:6].upper()}",
        versions={
            "crena": crena.__version__,
            "numpy": np.__version__,
            "scipy": scipy.__version__,
            "python": platform.python_version(),
        },
    )


def inputs_hash_of(case: Case, scan_sha256: str | None) -> str:
    """Return the SHA-256 of all that changes a plan.

    What was chosen and what came after the operation change no plan and are left out.
    """
    planned = replace(
        case, choice=None, preparation=Preparation(), operation=None, aftercare=Aftercare()
    )
    digest = hashlib.sha256(CASES.dump_json(planned))
    digest.update(f"{crena.__version__} {scan_sha256 or ''}".encode())
    return digest.hexdigest()


def voxels_sha256(volume: Volume) -> str:
    """Return the SHA-256 of a block of voxels and of where it lies."""
    digest = hashlib.sha256(volume.affine.tobytes())
    digest.update(volume.voxels.tobytes())
    return digest.hexdigest()


def _volume(order: Order, case: Case, progress: Progress) -> Volume | None:
    if order.mri_folder is not None:
        progress("Reading the scan", 0.0)
        return read_series(
            order.mri_folder, progress=lambda share, step: progress(step, 0.15 * share)
        )
    if case.clicks is not None:
        raise InputError(
            "The case has clicks on a scan. Give its folder with --mri, or remove the clicks to "
            "plan from probing alone."
        )
    return None
