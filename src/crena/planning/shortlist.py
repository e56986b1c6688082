"""From every candidate that keeps the limits to the few that are drawn and measured in full."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.planning.candidates import Candidates, in_order, picked
from crena.planning.choice import distinct
from crena.planning.front import by_pull, front, objectives
from crena.planning.refusals import all_kept
from crena.records import Limits, Record

Floats = NDArray[np.float64]
Member = tuple[Candidates, int]  #: a family and the index of one of its candidates
Pulls = Callable[[Sequence[Member]], Floats]  #: the pull of each, N

FEWEST_PLANS = 3
"""When fewer families stand on the front, twins from the other side or hinge are shown too."""

HINGE = 7
"""Column of a rhombic candidate's row that says where its flap hinges."""

MOST_CLOSED = 64
"""Members of the front whose pull is computed before the few are chosen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortlist(Record):
    """What goes on to be measured in full, and what fell out because no balance was found."""

    members: tuple[Member, ...]
    unbalanced: frozenset[str] = frozenset()  #: families that lost a member in this way


def shortlist(
    families: tuple[Candidates, ...], limits: Limits, pulls: Pulls | None = None
) -> Shortlist:
    """Return distinct members of the rounded front.

    Parameters
    ----------
    families : tuple of Candidates
        All that were searched.
    limits : Limits
        Hard limits.
    pulls : callable, optional
        Computes the pull of the front's members, which then stands in for how far the donor
        edges come together; without it, or if nothing finds a balance, geometry alone decides.
    """
    members = _kept(families, limits)
    if not members:
        return Shortlist(members=())
    values = np.concatenate([_objectives(family, members) for family in families])
    best = front(values)
    known, lost = values, best[:0]
    if pulls is not None:
        best = _spread(best, values[best])
        pulls_n = pulls([members[b] for b in best])
        found = np.isfinite(pulls_n)
        lost = best[~found]
        if found.any():
            best = best[found]
            known = by_pull(values, best, pulls_n[found])
            best = best[front(known[best])]
    shown = best[distinct(known[best], [members[b][0].family for b in best])]
    return Shortlist(
        members=tuple(members[i] for i in _enough(shown, lost, values, members)),
        unbalanced=frozenset(members[i][0].family for i in lost),
    )


def _kept(families: tuple[Candidates, ...], limits: Limits) -> list[Member]:
    kept = [(f, np.flatnonzero(all_kept(f, limits))) for f in families]
    return [(f, int(i)) for f, k in kept for i in k[in_order(picked(f, k))]]


def _objectives(family: Candidates, members: list[Member]) -> Floats:
    return objectives(picked(family, np.array([i for f, i in members if f is family], np.int64)))


def _spread(best: NDArray[np.int64], values: Floats) -> NDArray[np.int64]:
    """Return at most `MOST_CLOSED` of the front: first one of each kind, then second ones."""
    _, group = np.unique(values, axis=0, return_inverse=True)
    group = group.reshape(-1)
    turn = np.array([(group[:n] == g).sum() for n, g in enumerate(group)])
    return best[np.sort(np.argsort(turn, kind="stable")[:MOST_CLOSED])]


def _enough(
    shown: NDArray[np.int64], lost: NDArray[np.int64], values: Floats, members: list[Member]
) -> NDArray[np.int64]:
    """Add twins, none whose pull found no balance, when few families stand on the front."""
    if len(shown) >= FEWEST_PLANS:
        return shown
    sound = np.setdiff1d(np.arange(len(values)), lost)
    if not len(sound):
        return shown
    others = sound[distinct(values[sound], [_kind(*members[i]) for i in sound])]
    more = [i for i in others if i not in shown]
    return np.concatenate([shown, more[: FEWEST_PLANS - len(shown)]]).astype(np.int64)


def _kind(family: Candidates, index: int) -> str:
    """Name a candidate's family, the side that gives the flap, and where it hinges."""
    hinge = family.rows[index, HINGE] if family.rows.shape[1] > HINGE else 0.0
    return f"{family.family} {family.donor_sign[index]} {hinge:.0f}"
