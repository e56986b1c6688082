"""Jobs: looked at, followed as they change, stopped."""

from collections.abc import AsyncIterator
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import StreamingResponse
from pydantic import TypeAdapter
from starlette.concurrency import run_in_threadpool

from crena.app.jobs.runner import ENDED
from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.records import Job, MissingError

routes = APIRouter(prefix="/api/jobs", tags=["jobs"])

JOBS: Final = TypeAdapter(Job)

LOOK_S = 1.0
"""So often a follower is asked whether it is still there."""


@routes.get("/{job_id}", responses=MISSING)
def get_job(job_id: str, desk: AtDesk) -> Job:
    """Return a job as it is now."""
    return _known(desk, job_id)


@routes.delete("/{job_id}", status_code=204, responses=MISSING)
def stop_job(job_id: str, desk: AtDesk) -> None:
    """Stop a job; the case stays as it is."""
    desk.jobs.cancel(_known(desk, job_id).job_id)


@routes.get("/{job_id}/changes", responses=MISSING, response_class=StreamingResponse)
def follow_job(job_id: str, desk: AtDesk, request: Request) -> StreamingResponse:
    """Tell every change of a job until it has ended, as server-sent events."""
    first = _known(desk, job_id)
    return StreamingResponse(_events(desk, first, request), media_type="text/event-stream")


async def _events(desk: Desk, job: Job, request: Request) -> AsyncIterator[str]:
    yield _event(job)
    while job.state not in ENDED and not await request.is_disconnected():
        now = await run_in_threadpool(desk.jobs.changed, job.job_id, job, LOOK_S)
        if now is not None and now != job:
            job = now
            yield _event(job)


def _event(job: Job) -> str:
    return f"data: {JOBS.dump_json(job).decode()}\n\n"


def _known(desk: Desk, job_id: str) -> Job:
    job = desk.jobs.job(job_id)
    if job is None:
        raise MissingError("There is no such job.")
    return job
