"""The long works themselves: plain data in, bytes out; run in a process of their own."""

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Final

from pydantic import TypeAdapter

from crena.app.case_files import case_from_text, moved_from_text, plan_text, plans_from_text
from crena.app.planning_job import figured, middle_skin, plan, plan_again, plan_own
from crena.app.workers import Processes, processors
from crena.imaging import read_series
from crena.mechanics.film import FINE_STEPS, film_closure
from crena.records import Case, PlanSet, SkinFilm, Volume
from crena.records.progress import Progress

FILMS: Final = TypeAdapter(SkinFilm)


def planned(case_text: str, scan_files: Sequence[str], today: date, progress: Progress) -> bytes:
    """Plan a case and return its plan set as JSON.

    Parameters
    ----------
    case_text : str
        The case as JSON.
    scan_files : sequence of str
        Where the files of its scan lie; none: it is planned from probing alone.
    today : date
        For the timing gate.
    progress : callable
        Told what is being done; raises to stop.
    """
    case = case_from_text(case_text, "The case")
    with Processes(processors()) as workers:
        workers.warmed()
        volume = volume_of(scan_files, progress) if scan_files else None
        return plan_text(plan(case, volume, today, workers, progress)).encode()


def replanned(case_text: str, plans_text: str, today: date, progress: Progress) -> bytes:
    """Plan in theatre and return the plan set as JSON, without the pull.

    Parameters
    ----------
    case_text, plans_text : str
        The case with what was found, and the plans that the operation began with, as JSON.
    today : date
        To be printed.
    progress : callable
        Told what is being done; raises to stop.
    """
    case, planned = _case_and_plans(case_text, plans_text)
    return plan_text(plan_again(case, planned, today, progress)).encode()


def figures_added(case_text: str, plans_text: str, progress: Progress) -> bytes:
    """Return plans made in theatre as JSON, with their pull and the room that stays empty."""
    case, made = _case_and_plans(case_text, plans_text)
    with Processes(processors()) as workers:
        workers.warmed()
        return plan_text(figured(case, made, workers, progress)).encode()


def planned_own(case_text: str, plans_text: str, moved_text: str, progress: Progress) -> bytes:
    """Set a plan that was moved by hand beside the others and return the plan set as JSON.

    Parameters
    ----------
    case_text, plans_text, moved_text : str
        The case, its plans, and what was done to which of them, as JSON.
    progress : callable
        Told what is being done; raises to stop.
    """
    case, plan_set = _case_and_plans(case_text, plans_text)
    moved = moved_from_text(moved_text)
    with Processes(processors()) as workers:
        workers.warmed()
        return plan_text(plan_own(case, plan_set, moved, workers, progress)).encode()


def filmed(case_text: str, plans_text: str, letter: str, progress: Progress) -> bytes:
    """Close the wound of one plan on the middle skin and return its film as JSON.

    Parameters
    ----------
    case_text : str
        The case as JSON: its skin.
    plans_text : str
        Its plan set as JSON.
    letter : str
        A plan of this set.
    progress : callable
        Told what is being done; raises to stop.

    Raises
    ------
    CrenaError
        If no balance was found; the sentence is the solver's reason.
    """
    progress(f"Closing the wound of plan {letter}", 0.1)
    case = case_from_text(case_text, "The case")
    plans = plans_from_text(plans_text, "The plans").plans
    closure = next(plan.closure for plan in plans if plan.id == letter)
    return FILMS.dump_json(film_closure(closure, middle_skin(case), steps=FINE_STEPS))


def _case_and_plans(case_text: str, plans_text: str) -> tuple[Case, PlanSet]:
    return case_from_text(case_text, "The case"), plans_from_text(plans_text, "The plans")


def volume_of(scan_files: Sequence[str], progress: Progress) -> Volume:
    """Read a series from files that lie under other names."""
    progress("Reading the scan", 0.0)
    with tempfile.TemporaryDirectory(prefix="crena-scan-") as folder:
        for number, name in enumerate(scan_files):
            Path(folder, f"{number:05d}.dcm").symlink_to(name)
        return read_series(Path(folder))
