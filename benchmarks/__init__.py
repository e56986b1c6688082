"""Crena beside its peers: the same input, the same run, one thread, the ratio printed.

A module of this package defines ``BENCHMARKS``, which maps a benchmark's name to a function
without arguments that measures and returns a :class:`Row`.
"""

import importlib
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One measured figure and the bar it is held against."""

    name: str
    value: float | None
    """The figure in ``unit``; none if the benchmark broke off."""
    unit: str
    bar: str
    """The bar in words, such as ``>= 8``; empty if there is none."""
    met: bool | None
    """Whether the figure keeps its bar; none if there is no bar."""
    detail: str = ""


def interleaved(
    fn_a: Callable[[], object],
    fn_b: Callable[[], object],
    repeats: int,
    clock: Callable[[], float] = time.perf_counter,
) -> float:
    """Say how many times as long `fn_b` takes as `fn_a`.

    The two run in turn and change places after each pair, so that a slow spell of the
    machine, or a warm cache, favours neither.

    Parameters
    ----------
    fn_a, fn_b : callable
        The two ways; call each once beforehand if its first call compiles something.
    repeats : int
        Number of pairs, at least 1.
    clock : callable
        Returns the time in seconds.

    Returns
    -------
    float
        Median over the pairs of the time of `fn_b` by the time of `fn_a`.
    """
    ratios = []
    for pair in range(repeats):
        if pair % 2 == 0:
            a_s, b_s = _seconds(fn_a, clock), _seconds(fn_b, clock)
        else:
            b_s, a_s = _seconds(fn_b, clock), _seconds(fn_a, clock)
        ratios.append(b_s / a_s)
    return statistics.median(ratios)


def _seconds(fn: Callable[[], object], clock: Callable[[], float]) -> float:
    start = clock()
    fn()
    return clock() - start


def sample(name: str) -> ModuleType:
    """Return one of the tests' factories of invented cases, by the name of its module."""
    tests = str(Path(__file__).parent.parent / "tests")
    if tests not in sys.path:
        sys.path.append(tests)
    return importlib.import_module(name)
