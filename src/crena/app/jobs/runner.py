"""A queue of long works, each done in a process of its own.

The process gets plain data, tells how far it is through a pipe and gives bytes. Only this side
writes. A process that is stopped, dies or takes too long leaves a job that says so.
"""

import contextlib
import logging
import os
import queue
import secrets
import signal
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import count
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from crena.app.workers import process_context
from crena.records import Cancelled, CrenaError, Job, JobKind, JobState
from crena.records.progress import Progress
from crena.store.database import Store
from crena.store.jobs import UNDER_WAY, job_of, note_job, unfinished_jobs

LOG = logging.getLogger(__name__)

Work = Callable[..., bytes]
"""Done in the process: takes the parts of the order, then a progress; gives bytes."""

Finish = Callable[[bytes], str]
"""Done here with the bytes: stores them and returns their SHA-256."""

LONGEST_S = 600.0
"""A job that takes longer is stopped (assumed)."""

STOPPING_S = 2.0
"""A job that was asked to stop is killed after so long."""

LOWER_PRIORITY = 5
LOOK_S = 0.1
PRELOADED = "crena.app.jobs.work"

ENDED = (JobState.DONE, JobState.FAILED, JobState.CANCELLED, JobState.INTERRUPTED)

INTERRUPTED = "The server stopped while this ran. Nothing of the case is lost; start it again."
DIED = "The computation ended without a word; it may have run out of memory. Try it again."
NOT_KEPT = (
    "The computation could not be begun or its result not be kept. The disk may be full: make "
    "room, then start it again. The case is as it was."
)
TOO_LONG = f"The computation took longer than {LONGEST_S:.0f} s and was stopped."


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOrder:
    """What is to be done: where it is computed, with what, and what becomes of it."""

    kind: JobKind
    case_id: str
    work: Work
    parts: tuple[Any, ...]
    finish: Finish
    job_id: str = ""  #: where the same work is found again; empty: a random one


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One order in the queue: a work that is asked for again has another number."""

    number: int
    job: Job
    order: JobOrder


class Jobs:
    """The queue of one server."""

    def __init__(self, store: Store) -> None:
        """Take over a store; what an earlier server left unfinished is said to be interrupted.

        Parameters
        ----------
        store : Store
            Where jobs are noted.
        """
        self._store = store
        self._waiting: queue.Queue[Turn | None] = queue.Queue()
        self._numbers = count(1)
        self._last: dict[str, int] = {}  #: by job, of those that wait or run
        self._stopped: set[int] = set()
        self._changed = threading.Condition()  #: held while a state is read and noted
        for job in unfinished_jobs(store):
            note_job(store, replace(job, state=JobState.INTERRUPTED, reason=INTERRUPTED))
        self._worker = threading.Thread(target=self._work, name="jobs", daemon=True)
        self._worker.start()

    def start(self, order: JobOrder) -> Job:
        """Put a job into the queue and return it; one that is under way is not begun twice."""
        with self._changed:
            under_way = self.job(order.job_id) if order.job_id else None
            is_stopped = self._last.get(order.job_id) in self._stopped
            if under_way is not None and under_way.state in UNDER_WAY and not is_stopped:
                return under_way
            return self._queued(order)

    def _queued(self, order: JobOrder) -> Job:
        job = Job(
            job_id=order.job_id or secrets.token_hex(8),
            case_id=order.case_id,
            kind=order.kind,
            state=JobState.WAITING,
            step="Waiting for its turn",
            share_ratio=0.0,
            reason="",
            result_sha256="",
        )
        turn = Turn(number=next(self._numbers), job=job, order=order)
        self._last[job.job_id] = turn.number
        self._note(job)
        self._waiting.put(turn)
        return job

    def job(self, job_id: str) -> Job | None:
        """Return a job as it is now, or nothing."""
        return job_of(self._store, job_id)

    def cancel(self, job_id: str) -> None:
        """Ask a job to stop; one that waits never starts, and says so at once."""
        with self._changed:
            job, number = self.job(job_id), self._last.get(job_id)
            if job is None or number is None:
                return
            self._stopped.add(number)
            if job.state is JobState.WAITING:
                self._note(_cancelled(job))

    def changed(self, job_id: str, seen: Job | None, wait_s: float) -> Job | None:
        """Return a job once it differs from what was seen, or as it is after a while."""
        with self._changed:
            self._changed.wait_for(lambda: self.job(job_id) != seen, timeout=wait_s)
        return self.job(job_id)

    def close(self) -> None:
        """Stop the running job and take no more."""
        self._waiting.put(None)
        with self._changed:
            self._stopped.update(self._last.values())
        self._worker.join(timeout=STOPPING_S + 3.0)

    def _work(self) -> None:
        while (turn := self._waiting.get()) is not None:
            running = self._begun(turn)
            if running is not None:
                self._end(turn, self._ended(replace(turn, job=running)))

    def _begun(self, turn: Turn) -> Job | None:
        """Return the job as it runs, if it was not stopped while it waited, else nothing."""
        with self._changed:
            if turn.number in self._stopped:
                self._end(turn, _cancelled(turn.job))
                return None
            running = replace(turn.job, state=JobState.RUNNING, step="Starting")
            self._note(running)
            return running

    def _end(self, turn: Turn, job: Job) -> None:
        """Note how an order ended, unless the same work was asked for anew since."""
        with self._changed:
            self._stopped.discard(turn.number)
            if self._last.get(job.job_id) == turn.number:
                self._note(job)
                del self._last[job.job_id]

    def _ended(self, turn: Turn) -> Job:
        """Do one job and return it as it ended."""
        job = turn.job
        try:
            result = self._computed(turn)
            sha256 = turn.order.finish(result)
        except Cancelled:
            return _cancelled(job)
        except CrenaError as fault:
            return replace(job, state=JobState.FAILED, step="", reason=str(fault))
        except OSError as fault:
            LOG.error(fault)
            return replace(job, state=JobState.FAILED, step="", reason=NOT_KEPT)
        return replace(job, state=JobState.DONE, step="Done", share_ratio=1.0, result_sha256=sha256)

    def _computed(self, turn: Turn) -> bytes:
        context: Any = process_context(PRELOADED)
        here, there = context.Pipe()
        process = context.Process(target=run_work, args=(there, turn.order.work, turn.order.parts))
        process.start()
        there.close()
        try:
            return self._listened(turn, here)
        finally:
            _kill(process)
            here.close()

    def _listened(self, turn: Turn, pipe: Connection) -> bytes:
        """Follow a process until it has given its bytes, or cannot any more."""
        job = turn.job
        began, stopping_since = time.monotonic(), 0.0
        while True:
            word, content = _heard(pipe)
            if word == "step":
                job = replace(job, step=content[0], share_ratio=float(content[1]))
                self._note_step(turn, job)
            elif word:
                return _outcome(word, content, stopping=stopping_since > 0)
            if turn.number in self._stopped and not stopping_since:
                stopping_since = time.monotonic()
                with contextlib.suppress(OSError):
                    pipe.send("stop")
            _refuse_overdue(began, stopping_since)

    def _note_step(self, turn: Turn, job: Job) -> None:
        """Note how far a work is, unless the same work was asked for anew since."""
        with self._changed:
            if self._last.get(job.job_id) == turn.number:
                self._note(job)

    def _note(self, job: Job) -> None:
        with self._changed:
            note_job(self._store, job)
            self._changed.notify_all()


def _cancelled(job: Job) -> Job:
    return replace(job, state=JobState.CANCELLED, step="", reason="Stopped.")


def run_work(pipe: Connection, work: Work, parts: tuple[Any, ...]) -> None:
    """Do a work in its own process and tell what came of it."""
    if os.name == "posix":
        os.setsid()
        os.nice(LOWER_PRIORITY)
    with contextlib.suppress(BrokenPipeError):  # the server is gone: nobody is left to tell
        pipe.send(_worked(work, (*parts, _teller(pipe))))


def _worked(work: Work, parts: tuple[Any, ...]) -> tuple[str, Any]:
    """Return the bytes of a work, or what went wrong with it."""
    try:
        return "result", work(*parts)
    except CrenaError as fault:
        return "fault", fault
    except MemoryError:
        return "fault", CrenaError(DIED)


def _teller(pipe: Connection) -> Progress:
    """Return what tells the progress, and stops the work when it is asked to."""

    def tell(step: str, share: float) -> None:
        if pipe.poll():
            raise Cancelled("Stopped.")
        pipe.send(("step", (step, share)))

    return tell


def _heard(pipe: Connection) -> tuple[str, Any]:
    """Return what a process says; nothing if it is silent for a while, its end if it died."""
    if not pipe.poll(LOOK_S):
        return "", None
    try:
        word, content = pipe.recv()
    except (EOFError, OSError):
        return "death", None
    return word, content


def _outcome(word: str, content: Any, *, stopping: bool) -> bytes:
    if word == "result":
        return bytes(content)
    if word == "fault":
        raise content
    raise Cancelled("Stopped.") if stopping else CrenaError(DIED)


def _refuse_overdue(began: float, stopping_since: float) -> None:
    now = time.monotonic()
    if stopping_since and now - stopping_since > STOPPING_S:
        raise Cancelled("Stopped.")
    if now - began > LONGEST_S:
        raise CrenaError(TOO_LONG)


def _kill(process: BaseProcess) -> None:
    """End a process with all that it started."""
    process.join(timeout=0.5)
    if process.pid is not None and os.name == "posix":
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    if process.is_alive():
        process.kill()
    process.join(timeout=2.0)
