"""The rounded front: plans that no other plan matches or betters in everything.

Each objective is first rounded to what a surgeon can tell apart; a difference below that
is none. There is no total score.
"""

import numpy as np
from numpy.typing import NDArray

from crena.planning.candidates import MEASURES, Candidates

Floats = NDArray[np.float64]

AREA_STEP_MM2 = 100.0
PULL_STEP = np.log(1.1)
SHARE_STEP = 0.05
BASE_STEP = 0.1
WIDE_BASE = 1.0
"""A pedicle as wide as the flap is long; wider is not counted as better."""

MISFIT_STEP_DEG = 15.0

OBJECTIVES = (
    "least skin taken",
    "donor edges nearest together",
    "scar furthest off the midline",
    "widest base",
    "tip that fits best",
    "published construction",
)


PULL_NAMES = {"donor edges nearest together": "least pull"}
"""What an objective is called once the pull is computed and stands in its place."""

PULL_COLUMN = OBJECTIVES.index("donor edges nearest together")


def objectives(candidates: Candidates) -> Floats:
    """Return the objectives (n, 6), rounded to clinical resolution; smaller is better.

    Notes
    -----
    Area to 1 cm2, donor closure to a tenth (log steps), share of the scar at least 10 mm
    off the midline to a twentieth, pedicle over length to a tenth up to 1, tip misfit to
    15 degrees; and whether published series stand behind the construction, since geometry
    alone cannot replace them. The steps are assumed.
    """
    return rounded(candidates.measures, np.full(len(candidates), candidates.published))


def rounded(measures: Floats, published: NDArray[np.bool_]) -> Floats:
    """Return the objectives (n, 6) of closures by their measures (n, 8), as `objectives`."""
    of = dict(zip(MEASURES, measures.T, strict=True))
    base = np.minimum(of["base_to_length_ratio"], WIDE_BASE) / BASE_STEP
    return np.column_stack(
        [
            np.ceil(of["area_mm2"] / AREA_STEP_MM2),
            np.round(np.log(of["donor_closure_mm"]) / PULL_STEP),
            -np.round(of["share_beyond_10mm"] / SHARE_STEP),
            -np.floor(base + 1e-9),
            np.round(of["tip_misfit_deg"] / MISFIT_STEP_DEG),
            np.where(published, 0.0, 1.0),
        ]
    )


def by_pull(values: Floats, which: NDArray[np.int64], pulls_n: Floats) -> Floats:
    """Return objectives (n, k) in which a computed pull stands for the donor edges' distance.

    Parameters
    ----------
    values : (n, k) float
        Rounded objectives.
    which : (m,) int
        Rows whose pull was computed.
    pulls_n : (m,) float
        Pull of these rows; only their ratio counts, in steps of a tenth.
    """
    known = values.copy()
    least_n = pulls_n.min(initial=np.inf)
    known[which, PULL_COLUMN] = np.round(np.log(pulls_n / least_n) / PULL_STEP)
    return known


def front(values: Floats) -> NDArray[np.int64]:
    """Return the indices of rows that no other row betters.

    A row betters another if it is as good in everything and better in something; equal
    rows stand together.

    Parameters
    ----------
    values : (n, k) float
        Smaller is better.

    Examples
    --------
    >>> front(np.array([[1.0, 2.0], [2.0, 1.0], [2.0, 2.0], [1.0, 2.0]])).tolist()
    [0, 1, 3]
    """
    unique, place = np.unique(values, axis=0, return_inverse=True)
    kept: list[int] = []
    for i in range(len(unique)):
        rival = unique[kept] if kept else np.empty((0, values.shape[1]))
        if not (rival <= unique[i]).all(axis=1).any():
            kept.append(i)
    return np.flatnonzero(np.isin(place.reshape(-1), kept))
