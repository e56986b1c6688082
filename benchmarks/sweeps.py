"""A sweep of a thousand plans: through processes, through a cluster, with a worker killed."""

import multiprocessing
from time import perf_counter

import numpy as np
from distributed import Client, LocalCluster

from benchmarks import Row, sample
from crena.app.cluster import ClusterWorkers
from crena.app.workers import Processes
from crena.mechanics.ensemble import assumed_skins
from crena.mechanics.sweeps import Row as SweepRow
from crena.mechanics.sweeps import Task, key_of, sweep

closures = sample("sample_closures")

PLANS = 1_000
STEP_MM = 9.0
KILL_AFTER = 300
"""Rows after which a worker is killed."""


def sweep_processes() -> Row:
    """A thousand plans through two processes, one of them killed on the way."""
    killed: list[int] = []

    def kill_one(_: SweepRow) -> None:
        killed.append(1)
        if len(killed) == KILL_AFTER:
            multiprocessing.active_children()[0].kill()

    start = perf_counter()
    with Processes(2) as workers:
        rows = sweep(_tasks(), workers, keep=kill_one)
    return _row("sweep-processes", rows, perf_counter() - start, len(killed) > KILL_AFTER)


def sweep_cluster() -> Row:
    """The same through a local dask cluster, a worker killed; is the table the same?"""
    killed: list[int] = []
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):

        def kill_one(_: SweepRow) -> None:
            killed.append(1)
            if len(killed) == KILL_AFTER:
                next(iter(cluster.workers.values())).process.process.kill()

        start = perf_counter()
        rows = sweep(_tasks(), ClusterWorkers(client), keep=kill_one)
        seconds = perf_counter() - start
    with Processes(2) as workers:
        same = _same(rows, sweep(_tasks(), workers))
    return _row("sweep-cluster", rows, seconds, same)


def _tasks() -> dict[str, Task]:
    rng, found = np.random.default_rng(3), {}
    while len(found) < PLANS:
        closure = closures.RANDOM[len(found) % len(closures.RANDOM)](rng)
        if closure.seams:
            task = Task(closure=closure, skins=assumed_skins(1, rng), seam_step_mm=STEP_MM)
            found[key_of(task, "")] = task
    return found


def _same(rows: tuple[SweepRow, ...], others: tuple[SweepRow, ...]) -> bool:
    return all(a.key == b.key and _bytes(a) == _bytes(b) for a, b in zip(rows, others, strict=True))


def _bytes(row: SweepRow) -> bytes:
    return row.pulls.totals_n.tobytes() + row.pulls.seam_forces_n.tobytes() if row.pulls else b""


def _row(name: str, rows: tuple[SweepRow, ...], seconds: float, survived: bool) -> Row:  # noqa: FBT001
    lost = sum(row.pulls is None for row in rows)
    failed = sum(bool(row.pulls and row.pulls.reasons) for row in rows)
    return Row(
        name=name,
        value=seconds,
        unit="s",
        bar="all rows, same table",
        met=survived and lost == 0 and len(rows) == PLANS,
        detail=f"{len(rows)} rows, {lost} lost, {failed} without a figure, each with its reason",
    )


BENCHMARKS = {"sweep-processes": sweep_processes, "sweep-cluster": sweep_cluster}
