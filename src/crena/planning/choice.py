"""From the front to three to five plans that differ in kind."""

import numpy as np
from numpy.typing import NDArray

from crena.planning.front import OBJECTIVES

Floats = NDArray[np.float64]

MOST_PLANS = 5


def distinct(values: Floats, families: list[str]) -> list[int]:
    """Choose one plan of each family, at most five, far from each other.

    Parameters
    ----------
    values : (n, k) float
        Rounded objectives of the front; smaller is better.
    families : list of str
        The family of each row.

    Returns
    -------
    list of int
        Rows: each family's best compromise, then as many as fit by greatest least distance.

    Notes
    -----
    The best compromise of a family is the row whose worst objective, scaled to the range
    of the whole front, is least. It only picks a member to show; plans are not ranked.
    """
    scaled = _scaled(values)
    names = sorted(set(families))
    members = {name: [i for i, f in enumerate(families) if f == name] for name in names}
    middle = [min(members[n], key=lambda i: _regret(scaled[i])) for n in names]
    middle.sort(key=lambda i: _regret(scaled[i]))
    chosen = middle[:1]
    while len(chosen) < min(MOST_PLANS, len(middle)):
        rest = [i for i in middle if i not in chosen]
        chosen.append(max(rest, key=lambda i: _nearest(scaled[i], scaled[chosen])))
    return sorted(chosen, key=lambda i: tuple(values[i]))


def best_at(values: Floats) -> list[list[str]]:
    """Return for each plan (row) the objectives in which none of the others is as good."""
    return [_names(row < others) for row, others in _against_others(values)]


def as_good_as_any(values: Floats) -> list[list[str]]:
    """Return for each plan (row) the objectives in which none of the others is better."""
    spread = values.min(axis=0) < values.max(axis=0)
    return [_names((row <= others) & spread) for row, others in _against_others(values)]


def behind_all(values: Floats) -> list[list[str]]:
    """Return for each plan (row) the objectives in which all others are better."""
    return [_names(row < others) for row, others in _against_others(-values)]


def _against_others(values: Floats) -> list[tuple[Floats, Floats]]:
    if len(values) == 1:
        return [(values[0], np.full(values.shape[1], -np.inf))]
    return [(row, np.delete(values, i, axis=0).min(axis=0)) for i, row in enumerate(values)]


def _names(which: NDArray[np.bool_]) -> list[str]:
    return [OBJECTIVES[k] for k in np.flatnonzero(which)]


def _scaled(values: Floats) -> Floats:
    low, high = values.min(axis=0), values.max(axis=0)
    return np.asarray((values - low) / np.where(high > low, high - low, 1.0))


def _regret(row: Floats) -> tuple[float, float]:
    return float(row.max()), float(row.sum())


def _nearest(row: Floats, chosen: Floats) -> float:
    return float(np.linalg.norm(chosen - row, axis=1).min())
