"""Many closures on many skins, through any executor: restartable, and no failure is lost.

A task is one closure on a few skins; its key is a hash of all that it holds, so that a row
computed once is never computed again. The same tasks give the same rows to the bit for any
number of workers on one machine, since no task knows of another.
"""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import asdict, dataclass
from typing import Any, Protocol

from crena.mechanics.material import Skin
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM, Pulls, pulls_of
from crena.records import Closure, Record

WINDOW = 8
"""Tasks that are handed to the executor at a time: enough to keep some workers busy, few to
look at again when one of them dies."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Record):
    """One closure on some skins, on a mesh of a stated step."""

    closure: Closure
    skins: tuple[Skin, ...]
    seam_step_mm: float = SEAM_STEP_MM
    sheet_mm: float = SHEET_MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row(Record):
    """What became of a task: its pulls, or why it has none."""

    key: str
    pulls: Pulls | None
    failure: str = ""


class Workers(Protocol):
    """Whoever lends an executor, and another one when a worker of the last has died."""

    def executor(self) -> Executor:
        """Return the executor at hand."""

    def renewed(self) -> Executor:
        """Return a new one in place of one that is broken."""


class InThisProcess(Executor):
    """An executor, and its own lender, that runs each task where it is asked to."""

    def executor(self) -> Executor:
        """Return itself."""
        return self

    def renewed(self) -> Executor:
        """Return itself: it does not break without the whole process."""
        return self

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Run a call now and return its result or its error as a future that is done."""
        done: Future[Any] = Future()
        try:
            done.set_result(fn(*args, **kwargs))
        except Exception as trouble:
            done.set_exception(trouble)
        return done


def key_of(task: Task, version: str) -> str:
    """Return a name of exactly this task, computed by exactly this version.

    Parameters
    ----------
    task : Task
        Closure, skins, mesh.
    version : str
        Of the program; a newer one computes anew.
    """
    content = json.dumps([version, asdict(task)], sort_keys=True, allow_nan=False)
    return hashlib.sha256(content.encode()).hexdigest()


def sweep(
    tasks: Mapping[str, Task],
    workers: Workers,
    *,
    known: Mapping[str, Row] | None = None,
    keep: Callable[[Row], None] = lambda row: None,
) -> tuple[Row, ...]:
    """Return one row for every task, in the order of the tasks.

    Parameters
    ----------
    tasks : mapping of str to Task
        By key, as `key_of` gives it.
    workers : Workers
        Lends the executor, and a new one when a worker has died.
    known : mapping of str to Row
        Rows of an earlier run; they are not computed again.
    keep : callable
        Told each new row as soon as it is there, in any order; may raise to stop the sweep.

    Returns
    -------
    tuple of Row
        A task that fails, or that kills its worker, is a row with its reason.
    """
    rows = {key: row for key, row in (known or {}).items() if key in tasks}
    left = [key for key in tasks if key not in rows]
    while left:
        for row in _until_a_worker_dies(left, tasks, workers.executor()):
            rows[row.key] = row
            keep(row)
        left = [key for key in left if key not in rows]
        if left:
            workers.renewed()
        for key in left[:WINDOW]:
            rows[key] = _alone(key, tasks[key], workers)
            keep(rows[key])
        left = left[WINDOW:]
    return tuple(rows[key] for key in tasks)


def _until_a_worker_dies(
    keys: Sequence[str], tasks: Mapping[str, Task], executor: Executor
) -> Iterator[Row]:
    """Give rows as they come; end early, without those at work, when a worker dies."""
    waiting = iter(keys)
    running: dict[Future[Pulls], str] = {}
    try:
        while True:
            for key in _some(waiting, WINDOW - len(running)):
                running[_handed(executor, tasks[key])] = key
            if not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                yield _row(running.pop(future), future)
    except BrokenExecutor:
        return
    finally:
        for future in running:
            future.cancel()


def _some(waiting: Iterator[str], count: int) -> list[str]:
    return [key for _, key in zip(range(count), waiting, strict=False)]


def _handed(executor: Executor, task: Task) -> Future[Pulls]:
    return executor.submit(
        pulls_of, task.closure, task.skins, seam_step_mm=task.seam_step_mm, sheet_mm=task.sheet_mm
    )


def _row(key: str, future: Future[Pulls]) -> Row:
    trouble = future.exception()
    if isinstance(trouble, BrokenExecutor):
        raise trouble
    if trouble is not None:
        return Row(key=key, pulls=None, failure=f"{type(trouble).__name__}: {trouble}")
    return Row(key=key, pulls=future.result())


def _alone(key: str, task: Task, workers: Workers) -> Row:
    """Run a task that was at work when a worker died with nothing beside it."""
    try:
        return _row(key, _handed(workers.executor(), task))
    except BrokenExecutor:
        workers.renewed()
        return Row(key=key, pulls=None, failure="Its worker died twice. Look at its closure.")
