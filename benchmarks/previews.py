"""How long a hand waits for the figures of a plan that it moves."""

from time import perf_counter, thread_time

import numpy as np

from benchmarks import Row, sample
from crena.planning.compose import plan_case
from crena.planning.preview import ground_of, preview
from crena.records import Move, MoveKind, Plan

MOST_MS = 10.0
PLACES = 120


def preview_row() -> Row:
    """Drag corner A of each plan of an invented case, each place once, caches warm."""
    factory = sample("factory")
    case, tract_map = factory.case(), factory.tract_map()
    plans = plan_case(case, tract_map, factory.PROVENANCE, today=factory.TODAY)
    ground = ground_of(tract_map, case.precision, case.seed)
    taken, worked = [], []
    for plan in plans.plans:
        preview(plan, [_to(plan, 0)], case.limits, ground, full=False)
        for place in range(PLACES):
            start, begun = perf_counter(), thread_time()
            preview(plan, [_to(plan, place)], case.limits, ground, full=False)
            taken.append(1000 * (perf_counter() - start))
            worked.append(1000 * (thread_time() - begun))
    median = float(np.median(taken))
    return Row(
        name="preview",
        value=median,
        unit="ms",
        bar="<= 10",
        met=median <= MOST_MS,
        detail=f"{len(taken)} places on {len(plans.plans)} plans, 9 of 10 within "
        f"{np.quantile(taken, 0.9):.1f} ms, processor {np.median(worked):.1f} ms",
    )


def _to(plan: Plan, place: int) -> Move:
    s, y = plan.closure.points_mm["A"]
    return Move(kind=MoveKind.PLACE, handle="A", to_mm=(s + 0.05 * place, y + 0.02 * place))


BENCHMARKS = {"preview": preview_row}
