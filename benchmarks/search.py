"""How fast outlines are found by closed form, beside a general solver in the same run."""

from time import perf_counter

import numpy as np
from scipy.optimize import linprog

from benchmarks import Row
from crena.geometry import rhombi, supports

RNG = np.random.default_rng(20)
CENTRES = np.column_stack([RNG.normal(-6, 9, 22), RNG.normal(36, 11, 22)])
RADII = RNG.uniform(6, 12, 22)
LIMITS = rhombi.CornerLimits(
    lower_end_midline_mm=15.0,
    lower_end_sign=-1,
    anal_verge_s_mm=0.0,
    anal_verge_y_mm=-42.0,
    anal_verge_mm=25.0,
)
REPEATS = 7


def search_free() -> Row:
    """Free rhombi: every tilt and acute angle on a grid of 0.1 degrees."""
    count = rhombi.free_inradii_on_grid_mm(CENTRES, RADII, 0.1)[0].size
    seconds = _median_seconds(lambda: rhombi.free_inradii_on_grid_mm(CENTRES, RADII, 0.1))
    rate = count / seconds
    return Row(
        name="search-free",
        value=rate,
        unit="candidates/s",
        bar=">= 1e6",
        met=rate >= 1e6,
        detail=f"{count} rhombi",
    )


def search_constrained() -> Row:
    """Rhombi with limits on all corners; HiGHS solves the same programmes one by one."""
    shapes = _shapes(40_000)
    rhombi.constrained_rhombi(CENTRES, RADII, shapes[:10], LIMITS)
    seconds = _median_seconds(lambda: rhombi.constrained_rhombi(CENTRES, RADII, shapes, LIMITS))
    rate = len(shapes) / seconds
    few = shapes[:200]
    start = perf_counter()
    theirs = np.array([_by_highs(*shape) for shape in few])
    peer_rate = len(few) / (perf_counter() - start)
    own = rhombi.constrained_rhombi(CENTRES, RADII, few, LIMITS)[:, 2]
    apart = np.nanmax(np.abs(own - theirs))
    detail = (
        f"HiGHS one by one {peer_rate:.0f}/s, ratio {rate / peer_rate:.0f}, apart {apart:.1e} mm"
    )
    return Row(
        name="search-constrained",
        value=rate,
        unit="candidates/s",
        bar=">= 5e4",
        met=rate >= 5e4,
        detail=detail,
    )


def _shapes(n: int) -> np.ndarray:
    return np.column_stack(
        [
            RNG.uniform(60, 90, n),
            RNG.uniform(-46, 46, n),
            np.zeros(n),
            RNG.choice([0, -30, -60, -90], n),
        ]
    )


def _by_highs(acute: float, tilt: float, shift: float, bearing: float) -> float:
    unit = rhombi.corner_points(np.array([[0, 0, 1.0, acute, tilt, shift]]))[0]
    edge = np.roll(unit, -1, axis=0) - unit
    walls = np.arctan2(-edge[:, 0], edge[:, 1])
    normals = np.column_stack([np.cos(walls), np.sin(walls)])
    u = np.array([np.sin(np.radians(bearing)), np.cos(np.radians(bearing))])
    lowest = unit[np.argmin(unit[:, 1])]
    rows = [
        *np.column_stack([-normals, -np.einsum("wd,wd->w", normals, unit)]),
        [1.0, 0.0, lowest[0]],
        [-u[0], -u[1], -(unit @ u).min()],
    ]
    right = [
        *-supports.support_mm(CENTRES, RADII, walls),
        -LIMITS.lower_end_midline_mm,
        -(LIMITS.anal_verge_mm + u[1] * LIMITS.anal_verge_y_mm),
    ]
    free = (None, None)
    found = linprog([0, 0, 1], A_ub=rows, b_ub=right, bounds=[free] * 3, method="highs")
    return float(found.x[2]) if found.status == 0 else float("nan")


def _median_seconds(call) -> float:  # type: ignore[no-untyped-def]
    call()
    times = []
    for _ in range(REPEATS):
        start = perf_counter()
        call()
        times.append(perf_counter() - start)
    return float(np.median(times))


BENCHMARKS = {"search-free": search_free, "search-constrained": search_constrained}
