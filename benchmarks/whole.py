"""The demonstration case from DICOM to plans, with its parts, and the series alone."""

from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

import numpy as np

from benchmarks import Row
from crena.app import planning_job
from crena.app.case_files import read_case
from crena.app.demonstration import write_demonstration
from crena.draw import Paper
from crena.imaging import PhantomRecipe, read_series, render, write_series
from crena.planning.compose import plan_case
from crena.records import Probing, Side
from crena.sinus.mapping import map_from_scan, with_branch
from crena.sinus.trace import trace_tract

TODAY = date(2026, 11, 25)


def plan_demo() -> Row:
    """`crena plan` on the demonstration case, files and all, and where the time goes."""
    with TemporaryDirectory() as folder:
        order = _order(Path(folder))
        planning_job.run(order, TODAY, _silent)
        steps: list[tuple[str, float]] = []
        start = perf_counter()
        planning_job.run(order, TODAY, lambda step, _: steps.append((step, perf_counter())))
        seconds = perf_counter() - start
    ends = [t for _, t in steps[1:]] + [start + seconds]
    spent: dict[str, float] = {}
    for (name, begin), end in zip(steps, ends, strict=True):
        spent[name] = spent.get(name, 0.0) + end - begin
    parts = [f"{name} {1000 * took:.0f} ms" for name, took in spent.items() if took > 0.02]
    return _within("plan-demo", seconds, 8, ", ".join(parts))


def replan_demo() -> Row:
    """New plans when a branch is found on the table: the map is kept, a probing added."""
    with TemporaryDirectory() as folder:
        order = _order(Path(folder))
        case = read_case(order.case_file)
        volume = read_series(order.mri_folder)
        found = map_from_scan(case, volume)
        branch = Probing(
            tract="T3", pit="1", length_mm=14, tip_depth_mm=8, from_cranial_deg=80, side=Side.RIGHT
        )
        provenance = planning_job.provenance_of(case, volume)
        plan_case(case, found, provenance, today=TODAY)
        start = perf_counter()
        wider = with_branch(found, branch, case.precision)
        plans = plan_case(case, wider, provenance, today=TODAY).plans
        seconds = perf_counter() - start
    detail = f"{len(plans)} plans"
    return _within("replan-demo", seconds, 2, detail)


def volume_512() -> Row:
    """A series of 60 slices of 512 x 512 from the disk to a volume."""
    with TemporaryDirectory() as folder:
        recipe = PhantomRecipe(rows=512, columns=512, slices=60, row_spacing_mm=0.4,
                               column_spacing_mm=0.4, slice_spacing_mm=2.0,
                               slice_thickness_mm=2.0)  # fmt: skip
        write_series(
            render(recipe).volume, Path(folder) / "mri", label="BENCH^ONE", uid_seed="bench"
        )
        read_series(Path(folder) / "mri")
        start = perf_counter()
        volume = read_series(Path(folder) / "mri")
        seconds = perf_counter() - start
    return _within("volume-512", seconds, 3, f"{volume.voxels.shape}")


def tract_clicks() -> Row:
    """One tract from the demonstration's clicks, the slower of the two."""
    with TemporaryDirectory() as folder:
        order = _order(Path(folder))
        case, volume = read_case(order.case_file), read_series(order.mri_folder)
    times = []
    for clicks in case.clicks.tracts:
        trace_tract(volume, clicks)
        start = perf_counter()
        trace_tract(volume, clicks)
        times.append(perf_counter() - start)
    seconds = float(np.max(times))
    return _within("tract-clicks", seconds, 8, f"{len(times)} tracts")


def _within(name: str, seconds: float, bar_s: float, detail: str) -> Row:
    return Row(
        name=name,
        value=seconds,
        unit="s",
        bar=f"<= {bar_s:g}",
        met=seconds <= bar_s,
        detail=detail,
    )


def _order(folder: Path) -> planning_job.Order:
    case_file = write_demonstration(folder, TODAY, _silent)
    return planning_job.Order(
        case_file=case_file,
        mri_folder=folder / "mri",
        out_folder=folder / "plan",
        paper=Paper.A4,
        choice=None,
    )


def _silent(step: str, share: float) -> None:
    """Say nothing."""


BENCHMARKS = {
    "plan-demo": plan_demo,
    "replan-demo": replan_demo,
    "volume-512": volume_512,
    "tract-clicks": tract_clicks,
}
