"""Sweeps: the same rows from any workers, nothing lost when one dies, nothing done twice."""

from concurrent.futures import BrokenExecutor
from dataclasses import replace

import numpy as np
import pytest

from crena.flaps.rhombic import RhombicFlap, close
from crena.geometry.rhombi import corner_points
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mirrors import mirrored_closure
from crena.mechanics.sweeps import WINDOW, InThisProcess, Task, key_of, sweep
from crena.records import Side

STEP_MM = 12.0


def task(side_mm=40.0, tip_deg=55.0, tension=1.0):
    flap = RhombicFlap(donor_side=Side.LEFT, caudal_pivot=True, elevation_deg=10.0, tip_deg=tip_deg)
    row = [3.0, -5.0, side_mm * np.sin(np.pi / 3) / 2, 60.0, 9.0, 0.0]
    skin = replace(
        ASSUMED_SKIN,
        tension_along_n_per_mm=tension * ASSUMED_SKIN.tension_along_n_per_mm,
        tension_across_n_per_mm=tension * ASSUMED_SKIN.tension_across_n_per_mm,
    )
    return Task(
        closure=close(corner_points(np.array([row]))[0], flap),
        skins=(skin,),
        seam_step_mm=STEP_MM,
    )


def keyed(*tasks):
    return {key_of(each, "1"): each for each in tasks}


class Dying(InThisProcess):
    """Breaks whenever one of some closures comes, as a process would that is killed."""

    def __init__(self, deadly, deaths=10**9):
        self.deadly, self.deaths, self.renewals = deadly, deaths, 0

    def renewed(self):
        self.renewals += 1
        return self

    def submit(self, fn, /, *args, **kwargs):
        if args[0] in self.deadly and self.deaths > 0:
            self.deaths -= 1
            raise BrokenExecutor
        return super().submit(fn, *args, **kwargs)


def test_a_key_names_exactly_one_task_and_one_version():
    names = {
        key_of(task(), "1"),
        key_of(task(), "2"),
        key_of(task(side_mm=40.5), "1"),
        key_of(task(tension=1.01), "1"),
        key_of(replace(task(), seam_step_mm=11.0), "1"),
    }
    assert len(names) == 5
    assert key_of(task(), "1") == key_of(task(), "1")


def test_rows_stand_in_the_order_of_the_tasks():
    tasks = keyed(*(task(side_mm=side) for side in (44.0, 36.0, 40.0)))
    rows = sweep(tasks, InThisProcess())
    assert [row.key for row in rows] == list(tasks)
    totals = [float(row.pulls.totals_n[0]) for row in rows]
    assert totals[0] > totals[2] > totals[1] > 0


def test_known_rows_are_not_computed_again():
    tasks = keyed(task(), task(side_mm=36.0))
    first = sweep(tasks, InThisProcess())
    told = []
    again = sweep(tasks, Dying([each.closure for each in tasks.values()]),
                  known={row.key: row for row in first}, keep=told.append)  # fmt: skip
    assert again == first and told == []


def test_a_worker_killed_once_costs_no_row():
    tasks = keyed(*(task(side_mm=30.0 + k) for k in range(WINDOW + 4)))
    deadly = list(tasks.values())[5].closure
    workers = Dying([deadly], deaths=1)
    rows = sweep(tasks, workers)
    plain = sweep(tasks, InThisProcess())
    assert workers.renewals >= 1
    for row, same in zip(rows, plain, strict=True):
        assert np.array_equal(row.pulls.totals_n, same.pulls.totals_n)


def test_a_task_that_always_kills_its_worker_is_a_row_with_the_reason():
    tasks = keyed(*(task(side_mm=30.0 + k) for k in range(4)))
    rows = sweep(tasks, Dying([list(tasks.values())[2].closure]))
    assert [bool(row.failure) for row in rows] == [False, False, True, False]
    assert rows[2].pulls is None and "died twice" in rows[2].failure


def test_an_error_in_a_task_is_a_row_with_the_reason():
    class Raising(InThisProcess):
        def submit(self, fn, /, *args, **kwargs):
            return super().submit(lambda: 1 / 0)

    (row,) = sweep(keyed(task()), Raising())
    assert row.pulls is None and row.failure == "ZeroDivisionError: division by zero"


def test_a_closure_that_cannot_be_meshed_is_a_row_of_no_numbers_with_reasons():
    bad = replace(task(), seam_step_mm=1e-6)
    (row,) = sweep(keyed(bad), InThisProcess())
    assert np.isnan(row.pulls.totals_n).all() and "nodes" in row.pulls.reasons[0]


def test_whoever_keeps_the_rows_can_stop_the_sweep():
    kept = []

    def enough(row):
        kept.append(row)
        if len(kept) == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        sweep(keyed(*(task(side_mm=30.0 + k) for k in range(5))), InThisProcess(), keep=enough)
    assert len(kept) == 2


def test_the_mirror_image_pulls_the_same_to_the_bit():
    left = task()
    right = replace(
        left,
        closure=mirrored_closure(left.closure),
        skins=tuple(replace(s, axis_deg=-s.axis_deg) for s in left.skins),
    )
    one, other = sweep(keyed(left, right), InThisProcess())
    assert one.pulls.totals_n.tobytes() == other.pulls.totals_n.tobytes()
    assert mirrored_closure(right.closure) == left.closure
