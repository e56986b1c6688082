"""The demonstration case: an invented patient, a synthetic scan, clicks and probing notes.

The clicks are the phantom's truth, each moved by a seeded error as a hand would; the
probing notes are rounded as a surgeon writes them. Nothing is taken from a real person.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from crena.app.case_files import case_text, read_case, read_plans, write_whole
from crena.app.demonstration_operation import operated_case
from crena.imaging import Phantom, PhantomRecipe, render, write_series
from crena.records import (
    CASE_SCHEMA,
    AcuteSigns,
    Allergies,
    Answer,
    Case,
    CavityClicks,
    Drugs,
    Findings,
    InputError,
    Limits,
    PatientLabel,
    PitEntry,
    Point3,
    Probing,
    ScanClicks,
    Side,
    TractClicks,
)
from crena.records.progress import Progress

LABEL = "Demonstration 1"

CLICK_ERROR_MM = 0.8
"""One standard deviation of a demonstration click, each axis (assumed)."""

PRINTED_DAY = 5
"""The healing sheets are printed so many days from now: four days after the operation."""

SEED = 12
SEEN_DAYS_AGO = 3
MIDLINE_BONE = slice(0, 8)
"""Which of the phantom's presacral points lie in the midline."""


def write_demonstration(folder: Path, today: date, progress: Progress) -> Path:
    """Write the demonstration case and its scan.

    Parameters
    ----------
    folder : Path
        Will hold `case.json` and the folder `mri` with one DICOM file for each slice.
    today : date
        The patient was seen three days before it.
    progress : callable
        Told what is being done and the share that is done.

    Returns
    -------
    Path
        The case file.

    Raises
    ------
    InputError
        If the folder already holds another scan.
    """
    scan_folder = folder / "mri"
    if scan_folder.exists():
        raise InputError(f"{scan_folder} already exists. Choose another folder, or remove it.")
    phantom = render(
        PhantomRecipe(seed=SEED), progress=lambda share, step: progress(step, 0.9 * share)
    )
    progress("Writing the scan as DICOM", 0.9)
    folder.mkdir(parents=True, exist_ok=True)
    write_series(phantom.volume, scan_folder, label="DEMONSTRATION^ONE", uid_seed="demonstration 1")
    case_file = folder / "case.json"
    write_whole(case_file, case_text(demonstration_case(phantom, today)).encode())
    progress("Done", 1.0)
    return case_file


def write_operated(case_file: Path, plan_file: Path, today: date) -> Path:
    """Write the demonstration case once more, with an invented operation and its drain.

    Parameters
    ----------
    case_file, plan_file : Path
        The case and its plans.
    today : date
        The operation is on the next day.

    Returns
    -------
    Path
        `case-operated.json` beside the case.
    """
    operated = operated_case(read_case(case_file), read_plans(plan_file), today + timedelta(days=1))
    written = case_file.with_name("case-operated.json")
    write_whole(written, case_text(operated).encode())
    return written


def demonstration_case(phantom: Phantom, today: date) -> Case:
    """Return the invented case whose scan is the phantom."""
    rng = np.random.default_rng(SEED)
    no = Answer.NO
    return Case(
        schema=CASE_SCHEMA,
        patient=PatientLabel(label=LABEL, identifier="invented", weight_kg=78.0),
        findings=Findings(
            seen_on=today - timedelta(days=SEEN_DAYS_AGO),
            acute_signs=AcuteSigns(
                redness=no, swelling=no, warmth=no, pus_under_pressure=no, fever=no
            ),
            recurrent=no,
            allergies=Allergies(
                dye=no, local_anaesthetic=no, antibiotic=no, antiseptic=no, latex=no, plaster=no
            ),
            drugs=Drugs(
                anticoagulant=no,
                serotonergic=no,
                immunosuppressant=no,
                g6pd_deficiency=Answer.NOT_ASKED,
                pregnancy=no,
            ),
            note="Invented case.",
        ),
        pits=(
            PitEntry(name="1", above_coccyx_tip_mm=10.0),
            PitEntry(name="2", above_coccyx_tip_mm=22.0),
            PitEntry(name="3", above_coccyx_tip_mm=35.0),
        ),
        probings=_probings(),
        clicks=_clicks(phantom, rng),
        limits=Limits(drawn_margin_mm=7.0, least_clearance_mm=4.0),
        seed=SEED,
    )


def _probings() -> tuple[Probing, ...]:
    return (
        Probing(
            tract="T1",
            pit="2",
            length_mm=31.0,
            tip_depth_mm=15.0,
            from_cranial_deg=25.0,
            side=Side.LEFT,
            outer_radius_mm=3.0,
        ),
        Probing(
            tract="T2",
            pit="3",
            length_mm=12.0,
            tip_depth_mm=9.0,
            from_cranial_deg=45.0,
            side=Side.RIGHT,
            outer_radius_mm=2.5,
        ),
    )


def _clicks(phantom: Phantom, rng: np.random.Generator) -> ScanClicks:
    def clicked(point: ArrayLike) -> Point3:
        x, y, z = np.asarray(point) + rng.normal(0, CLICK_ERROR_MM, 3)
        return round(float(x), 2), round(float(y), 2), round(float(z), 2)

    def all_clicked(points: ArrayLike) -> tuple[Point3, ...]:
        return tuple(clicked(p) for p in np.asarray(points))

    return ScanClicks(
        coccyx_tip_lps_mm=clicked(phantom.coccyx_tip_lps_mm),
        sacral_crest_lps_mm=clicked(phantom.sacral_crest_lps_mm),
        anal_verge_lps_mm=clicked(phantom.anal_verge_lps_mm),
        midline_bone_lps_mm=all_clicked(phantom.presacral_lps_mm)[MIDLINE_BONE],
        tracts=tuple(
            TractClicks(
                name=tract.name,
                pit_lps_mm=clicked(tract.centre_lps_mm[0]),
                blind_end_lps_mm=clicked(tract.centre_lps_mm[-1]),
                way_points_lps_mm=(clicked(tract.centre_lps_mm[len(tract.centre_lps_mm) // 2]),),
            )
            for tract in phantom.tracts
        ),
        cavities=(
            CavityClicks(name="cavity", middle_lps_mm=clicked(phantom.cavity.centre_lps_mm)),
        ),
        presacral_lps_mm=all_clicked(phantom.presacral_lps_mm),
        gluteal_lps_mm=all_clicked(phantom.gluteal_lps_mm),
    )
