"""The closure of a plan as a film: computed once for each plan set and letter, then kept."""

import hashlib

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response
from pydantic import TypeAdapter

import crena
from crena.app.case_files import case_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.work import filmed
from crena.app.server.cases import CHANGED
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.plans import plan_set_of
from crena.app.server.standing import refuse_old
from crena.records import (
    Dossier,
    Job,
    JobKind,
    JobState,
    MissingError,
    NoPlanError,
    SkinFilm,
)
from crena.store.files import has_file, keep_file, stored_file
from crena.store.jobs import UNDER_WAY
from crena.store.revisions import read_case

routes = APIRouter(prefix="/api/cases/{case_id}/plans/{letter}", tags=["films"])

JOBS = TypeAdapter(Job)


@routes.get(
    "/film",
    response_model=SkinFilm,
    responses={**CHANGED, 202: {"model": Job}},
)
def get_film(case_id: str, letter: str, desk: AtDesk) -> Response:
    """Return the film of a plan; while it is being computed, the job that does it (202).

    Asking again costs nothing: the same job is found, and a film once made is kept. One that
    found no balance gives the solver's reason and is not tried again by itself.
    """
    dossier = read_case(desk.store, case_id, desk.author("film")).dossier
    _refuse_unknown(desk, dossier, letter)
    job = desk.jobs.job(job_id_of(dossier, letter))
    if job is not None and job.state is JobState.DONE and has_file(desk.store, job.result_sha256):
        return Response(stored_file(desk.store, job.result_sha256), media_type="application/json")
    if job is not None and job.state is JobState.FAILED:
        raise NoPlanError(job.reason)
    if job is None or job.state not in UNDER_WAY:
        job = _started(desk, case_id, dossier, letter)
    return JSONResponse(JOBS.dump_python(job, mode="json"), status_code=202)


@routes.post("/film", status_code=202, responses=CHANGED)
def film_again(case_id: str, letter: str, desk: AtDesk) -> Job:
    """Compute the film of a plan anew, after a run that failed."""
    dossier = read_case(desk.store, case_id, desk.author("film anew")).dossier
    _refuse_unknown(desk, dossier, letter)
    job = desk.jobs.job(job_id_of(dossier, letter))
    under_way = job is not None and job.state in UNDER_WAY
    return job if job and under_way else _started(desk, case_id, dossier, letter)


def job_id_of(dossier: Dossier, letter: str) -> str:
    """Return the name of the job that films one plan of one plan set by this program."""
    made = dossier.plans.sha256 if dossier.plans else ""
    return hashlib.sha256(f"{made} {letter} {crena.__version__}".encode()).hexdigest()[:16]


def _refuse_unknown(desk: Desk, dossier: Dossier, letter: str) -> None:
    if letter not in {plan.id for plan in plan_set_of(desk, dossier).plans}:
        raise MissingError("There is no plan of that letter.")


def _started(desk: Desk, case_id: str, dossier: Dossier, letter: str) -> Job:
    """Begin to film a plan on the skin that its plans were made for."""
    refuse_old(dossier, "look at its closure")
    assert dossier.plans is not None
    plans_text = stored_file(desk.store, dossier.plans.sha256).decode()
    order = JobOrder(
        kind=JobKind.FILM,
        case_id=case_id,
        work=filmed,
        parts=(case_text(dossier.case), plans_text, letter),
        finish=lambda content: keep_file(desk.store, [content]),
        job_id=job_id_of(dossier, letter),
    )
    return desk.jobs.start(order)
