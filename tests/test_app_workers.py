"""Sweeps through real processes and a real local cluster, with a worker killed on the way."""

import asyncio
import multiprocessing

import numpy as np
import pytest
from distributed import Client, LocalCluster
from test_mechanics_sweeps import keyed, task

import crena
from crena.app.cluster import ClusterWorkers
from crena.app.sweep_files import rows_in, swept
from crena.app.workers import Processes, processors
from crena.mechanics.sweeps import InThisProcess, key_of, sweep
from crena.records import InputError

TASKS = [task(side_mm=30.0 + k / 2, tip_deg=45.0 + k) for k in range(12)]


@pytest.fixture(scope="module")
def plain():
    return sweep(keyed(*TASKS), InThisProcess())


def same(rows, others):
    return all(
        a.key == b.key
        and a.pulls.totals_n.tobytes() == b.pulls.totals_n.tobytes()
        and a.pulls.seam_forces_n.tobytes() == b.pulls.seam_forces_n.tobytes()
        for a, b in zip(rows, others, strict=True)
    )


@pytest.mark.parametrize("count", [1, 3])
def test_any_number_of_processes_gives_the_same_rows_to_the_bit(count, plain):
    with Processes(count) as workers:
        assert same(sweep(keyed(*TASKS), workers), plain)


def test_a_process_killed_on_the_way_costs_no_row(plain):
    killed = []

    def kill_one(_row):
        if not killed:
            victim = multiprocessing.active_children()[0]
            victim.kill()
            killed.append(victim.pid)

    with Processes(2) as workers:
        rows = sweep(keyed(*TASKS), workers, keep=kill_one)
    assert killed and same(rows, plain)


@pytest.fixture
def event_loop():
    """Give this thread a loop of its own; a test before may have left it without one."""
    loop = asyncio.new_event_loop()
    asyncio.set_event_loop(loop)
    yield loop
    asyncio.set_event_loop(None)
    loop.close()


@pytest.mark.filterwarnings("default")
@pytest.mark.usefixtures("event_loop")
def test_a_local_cluster_gives_the_same_rows_and_survives_a_killed_worker(plain, tmp_path):
    killed = []
    with (
        LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            dashboard_address=None,
            local_directory=str(tmp_path),
        ) as cluster,
        Client(cluster) as client,
    ):

        def kill_one(_row):
            if not killed:
                victim = next(iter(cluster.workers.values()))
                killed.append(victim.pid)
                victim.process.process.kill()

        rows = sweep(keyed(*TASKS), ClusterWorkers(client), keep=kill_one)
    assert killed and same(rows, plain)


def test_a_sweep_that_was_stopped_goes_on_from_its_file(tmp_path, plain):
    file = tmp_path / "rows.jsonl"
    swept(TASKS[:5], InThisProcess(), file)
    with file.open("a") as lines:
        lines.write('{"key": "half a li')
    asked = []

    class Counting(InThisProcess):
        def submit(self, fn, /, *args, **kwargs):
            asked.append(args)
            return super().submit(fn, *args, **kwargs)

    rows = swept(TASKS, Counting(), file)
    assert len(asked) == 7 and len(rows_in(file)) == 12
    assert [row.pulls.totals_n[0] for row in rows] == [row.pulls.totals_n[0] for row in plain]
    assert set(rows_in(file)) == {key_of(each, crena.__version__) for each in TASKS}


def test_failed_runs_come_back_from_the_file_as_they_were(tmp_path):
    bad = task(tension=1e6)
    first = swept([bad], InThisProcess(), tmp_path / "rows.jsonl")
    again = swept([bad], InThisProcess(), tmp_path / "rows.jsonl")
    assert np.isnan(again[0].pulls.totals_n).all()
    assert again[0].pulls.reasons == first[0].pulls.reasons != ()


def test_a_file_that_is_no_sweep_is_refused_with_its_line(tmp_path):
    file = tmp_path / "rows.jsonl"
    file.write_text("not a row\nnor this\n")
    with pytest.raises(InputError, match=r"Line 1 of rows.jsonl is not a row"):
        swept(TASKS[:1], InThisProcess(), file)


def test_at_least_one_processor_is_there():
    assert processors() >= 1
