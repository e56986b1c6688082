"""Cases: listed, made, read, saved; a save says on which revision it was made."""

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Header, Path, Response

from crena.app.case_files import CASES, refuse_odd_words
from crena.app.server.demonstrations import demonstration_dossier
from crena.app.server.desk import AtDesk
from crena.app.server.problems import Problem
from crena.app.server.rights import refuse_beyond_follow_up
from crena.records import (
    Case,
    CaseLine,
    Dossier,
    InputError,
    Job,
    Revision,
    RevisionLine,
)
from crena.store.jobs import jobs_under_way
from crena.store.revisions import (
    case_lines,
    create_case,
    history,
    last_number,
    read_case,
    save_case,
)

routes = APIRouter(prefix="/api/cases", tags=["cases"])

RevisionNumber = Annotated[int, Path(ge=1, le=2**31 - 1)]

MISSING: dict[int | str, dict[str, Any]] = {404: {"model": Problem}}
CHANGED = {**MISSING, 409: {"model": Problem}}
SAVED = {**CHANGED, 403: {"model": Problem}}


@routes.get("")
def list_cases(desk: AtDesk, words: str = "") -> tuple[CaseLine, ...]:
    """List cases whose label or identifier holds the words, the last saved first."""
    return case_lines(desk.store, words)


@routes.post("", status_code=201)
def make_case(case: Case, desk: AtDesk) -> Revision:
    """Store a new case."""
    _refuse_unprintable(case)
    return create_case(desk.store, Dossier(case=case), desk.author("new case"))


@routes.post("/demonstration", status_code=201)
def make_demonstration(desk: AtDesk) -> Revision:
    """Store the demonstration case with its synthetic scan."""
    dossier = demonstration_dossier(desk.store)
    return create_case(desk.store, dossier, desk.author("demonstration"))


@routes.get("/{case_id}", responses=MISSING)
def get_case(case_id: str, desk: AtDesk, response: Response) -> Revision:
    """Return the last revision of a case."""
    found = read_case(desk.store, case_id, desk.author("opened"))
    response.headers["ETag"] = f'"{found.number}"'
    return found


@routes.put("/{case_id}", responses=SAVED)
def put_case(
    case_id: str, dossier: Dossier, desk: AtDesk, if_match: Annotated[str, Header()]
) -> Revision:
    """Save the case as entered, on the revision that `If-Match` names; a conflict is refused.

    Only the case is taken: scan, plans, sign-off and sheets are written by the server.
    """
    _refuse_unprintable(dossier.case)
    based_on = _number(if_match)
    last = read_case(desk.store, case_id, desk.author("to save"), based_on)
    refuse_beyond_follow_up(desk.known_caller, last.dossier.case, dossier.case)
    entered = replace(last.dossier, case=dossier.case)
    return save_case(desk.store, case_id, based_on, entered, desk.author("entered"))


@routes.get("/{case_id}/jobs", responses=MISSING)
def list_jobs(case_id: str, desk: AtDesk) -> tuple[Job, ...]:
    """List the jobs of a case that wait or run, whoever asked for them, the newest first."""
    last_number(desk.store, case_id)
    return jobs_under_way(desk.store, case_id)


@routes.get("/{case_id}/history", responses=MISSING)
def get_history(case_id: str, desk: AtDesk) -> tuple[RevisionLine, ...]:
    """List the saved states of a case."""
    return history(desk.store, case_id)


@routes.get("/{case_id}/history/{number}", responses=MISSING)
def get_revision(case_id: str, number: RevisionNumber, desk: AtDesk) -> Revision:
    """Return one saved state of a case."""
    return read_case(desk.store, case_id, desk.author("looked back"), number)


def _refuse_unprintable(case: Case) -> None:
    """Refuse words that could not stand on a sheet."""
    refuse_odd_words(CASES.dump_python(case, mode="json"), "The case")


def _number(if_match: str) -> int:
    """Return the revision that a save was made on."""
    number = if_match.strip().strip('"')
    if not number.isascii() or not number.isdigit() or len(number) > 9:
        raise InputError('If-Match names the revision that was changed, like "3".')
    return int(number)
