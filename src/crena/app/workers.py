"""Processes of this machine that close many wounds at once."""

import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing.context import BaseContext
from threading import Thread
from types import TracebackType
from typing import Any, Self

from crena.mechanics.pulls import pulls_of

PRELOADED = "crena.planning.sutured"
"""The module with the most that a worker needs."""


class Processes:
    """A pool of processes, renewed when one of them dies, ended with the block."""

    def __init__(self, count: int) -> None:
        """Keep how many processes there shall be; none is started yet.

        Parameters
        ----------
        count : int
            At least one.
        """
        self._count = count
        self._pool: ProcessPoolExecutor | None = None
        self._warming: Thread | None = None

    def __enter__(self) -> Self:
        """Begin the block."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, stop: BaseException | None, at: TracebackType | None
    ) -> None:
        """End all processes; what they have not begun is dropped.

        They are waited for also when the work is stopped: a process that ends before its pool
        has ended never ends.
        """
        self._wait_until_warm()
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def executor(self) -> Executor:
        """Return the pool at hand, made when it is first asked for."""
        self._wait_until_warm()
        if self._pool is None:
            self._pool = _pool(self._count)
        return self._pool

    def renewed(self) -> Executor:
        """Return a new pool in place of one whose worker died."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)
        self._pool = None
        return self.executor()

    def warmed(self) -> Self:
        """Begin to start the processes, so that they are ready when they are needed."""
        self._warming = Thread(target=self._warm, name="warming")
        self._warming.start()
        return self

    def _warm(self) -> None:
        self._pool = _pool(self._count)
        for _ in range(self._count):
            self._pool.submit(_loaded, pulls_of)

    def _wait_until_warm(self) -> None:
        if self._warming is not None:
            self._warming.join()
            self._warming = None


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def process_context(preloaded: str) -> BaseContext:
    """Return how processes are started here.

    Parameters
    ----------
    preloaded : str
        A module. Where the system can fork safely, processes start from a server that has it
        imported once.
    """
    method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(method)
    context.set_forkserver_preload([preloaded])
    return context


def _pool(count: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(count, mp_context=process_context(PRELOADED))


def _loaded(what: Callable[..., Any]) -> str:
    """Return the name of a function: by then its room is imported in the process."""
    return what.__name__
