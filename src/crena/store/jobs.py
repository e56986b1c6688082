"""Jobs as rows: what a new start of the server finds of the old one."""

from typing import Final

from pydantic import TypeAdapter
from sqlalchemy import delete, insert, select

from crena.records import Job, JobState
from crena.store.database import Store, reading, writing
from crena.store.sql_tables import JOBS

JOB_TEXTS: Final = TypeAdapter(Job)

UNDER_WAY: Final = (JobState.WAITING, JobState.RUNNING)
"""States of a job that has not ended."""

_UNDER_WAY = JOBS.c.state.in_([state.value for state in UNDER_WAY])


def note_job(store: Store, job: Job) -> None:
    """Keep how far a job is."""
    row = {
        "case_id": job.case_id,
        "state": job.state.value,
        "job": JOB_TEXTS.dump_json(job).decode(),
        "changed_at": store.clock().isoformat(),
    }
    with writing(store) as connection:
        connection.execute(delete(JOBS).where(JOBS.c.job_id == job.job_id))
        connection.execute(insert(JOBS).values(job_id=job.job_id, **row))


def job_of(store: Store, job_id: str) -> Job | None:
    """Return a job, or nothing."""
    if not (job_id.isascii() and job_id.isalnum()):
        return None
    with reading(store) as connection:
        text = connection.scalar(select(JOBS.c.job).where(JOBS.c.job_id == job_id))
    return None if text is None else JOB_TEXTS.validate_json(text)


def jobs_under_way(store: Store, case_id: str) -> tuple[Job, ...]:
    """Return the jobs of a case that wait or run, the last changed first."""
    chosen = select(JOBS.c.job).where(JOBS.c.case_id == case_id, _UNDER_WAY)
    with reading(store) as connection:
        texts = connection.scalars(chosen.order_by(JOBS.c.changed_at.desc())).all()
    return tuple(JOB_TEXTS.validate_json(text) for text in texts)


def unfinished_jobs(store: Store) -> tuple[Job, ...]:
    """Return the jobs that an earlier run of the server did not finish."""
    chosen = select(JOBS.c.job).where(_UNDER_WAY)
    with reading(store) as connection:
        return tuple(JOB_TEXTS.validate_json(text) for text in connection.scalars(chosen))
