"""A plan without a record: a case that is not stored in, closures out, nothing of it kept."""

from datetime import date

from fastapi import APIRouter

from crena.app.case_files import case_text, plans_from_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.work import planned
from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk
from crena.planning.readiness import known_map
from crena.records import Case, InputError, Job, JobKind, MissingError, PlanSet

routes = APIRouter(prefix="/api/sketch", tags=["sketch"])


@routes.post("", status_code=202)
def sketch(case: Case, desk: AtDesk) -> Job:
    """Begin to plan a case that is not stored; what is missing is said at once."""
    today = date.today()
    missing = known_map(case, today).missing
    if missing:
        raise InputError(" ".join(each.sentence for each in missing))
    order = JobOrder(
        kind=JobKind.PLAN,
        case_id="",
        work=planned,
        parts=(case_text(case), (), today),
        finish=desk.sketches.keep,
    )
    return desk.jobs.start(order)


@routes.get("/{job_id}", responses=MISSING)
def get_sketch(job_id: str, desk: AtDesk) -> PlanSet:
    """Return the plans of a sketch, as long as this server runs and few others were made."""
    job = desk.jobs.job(job_id)
    content = desk.sketches.kept(job.result_sha256) if job is not None else None
    if content is None:
        raise MissingError("This sketch is not kept any more. Sketch it again.")
    return plans_from_text(content.decode(), "The sketch")
