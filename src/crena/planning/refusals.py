"""Why kinds of closure were refused, and which limits bind when nothing fits."""

import numpy as np

from crena.planning.candidates import (
    Candidates,
    Limit,
    Mask,
    hard_limits,
    keeps,
    keeps_side,
    measured,
    picked,
)
from crena.planning.front import objectives
from crena.records import Limits, Refusal


def all_kept(candidates: Candidates, limits: Limits) -> Mask:
    """Say for each candidate (n,) whether it keeps every hard limit."""
    kept = keeps_side(candidates, limits)
    for limit in hard_limits(limits):
        kept = kept & keeps(candidates, limit)
    return kept


def refusal(
    candidates: Candidates, limits: Limits, shown: np.ndarray, *, lost: bool = False
) -> Refusal:
    """Return why no member of a family is shown.

    Parameters
    ----------
    candidates : Candidates
        The family.
    limits : Limits
        As the surgeon asked.
    shown : (m, k) float
        Rounded objectives of the plans that are shown.
    lost : bool
        The pull of some of its best members found no balance.
    """
    which = all_kept(candidates, limits)
    kept = int(which.sum())
    if kept:
        values = objectives(picked(candidates, which))
        matched = np.any(np.all(shown[None] <= values[:, None], axis=2), axis=1)
        reason = (
            "each member is matched or bettered in everything by a plan that is shown"
            if matched.all()
            else "the pull of its best members found no balance on the coarse mesh"
            if lost
            else "kept all limits; matched or bettered once the pull is computed, or beyond the "
            "five that are shown"
        )
    elif not len(candidates):
        reason = (
            "no outline of this kind holds the disease with its margin and keeps its lower end "
            "and the anal verge at their distances"
        )
    else:
        reason = "; ".join(gives(candidates, limits)) or _together(candidates, limits)
    return Refusal(kind=candidates.family, reason=f"{reason}.", tried=len(candidates), kept=kept)


def gives(candidates: Candidates, limits: Limits) -> list[str]:
    """Return one phrase for each limit that alone stands in the way, and how much it must give.

    Parameters
    ----------
    candidates : Candidates
        Made without the limits, where these would shape the outline.
    limits : Limits
        As the surgeon asked.
    """
    every = hard_limits(limits)
    side = keeps_side(candidates, limits)
    phrases = []
    for limit in every:
        others = side.copy()
        for other in every:
            if other is not limit:
                others &= keeps(candidates, other)
        if others.any() and not (others & keeps(candidates, limit)).any():
            phrases.append(_phrase(limit, measured(candidates, limit.measure)[others]))
    return phrases


def merged(sets: list[Candidates]) -> Candidates:
    """Put families together to ask what binds them all; their rows are not kept."""
    return Candidates(
        family="all",
        rows=np.empty((sum(len(s) for s in sets), 0)),
        measures=np.concatenate([s.measures for s in sets]),
        donor_sign=np.concatenate([s.donor_sign for s in sets]),
    )


def nearest(candidates: Candidates, limits: Limits) -> list[str]:
    """Return what the closure that comes nearest to all limits reaches where it breaks them."""
    every = hard_limits(limits)
    side = keeps_side(candidates, limits)
    if not side.any():
        return []
    breaches = np.column_stack([_breach(candidates, limit) for limit in every])
    worst = np.where(side, breaches.max(axis=1), np.inf)
    best = int(np.argmin(worst))
    return [
        _phrase(limit, measured(candidates, limit.measure)[[best]])
        for limit, breach in zip(every, breaches[best], strict=True)
        if breach > 0
    ]


def _breach(candidates: Candidates, limit: Limit) -> np.ndarray:
    """Return by which part of itself each candidate (n,) breaks a limit; 0 where it keeps it."""
    short = limit.asked - measured(candidates, limit.measure)
    short = short if limit.least else -short
    part = np.where(keeps(candidates, limit), 0.0, short / max(limit.asked, 1e-9))
    return np.nan_to_num(part, nan=np.inf)


def _phrase(limit: Limit, reached: np.ndarray) -> str:
    best = float(reached.max() if limit.least else reached.min())
    unit = f" {limit.unit}" if limit.unit else ""
    digits = 0 if limit.unit == "mm" else 1
    towards = np.floor if limit.least else np.ceil
    can = towards(best * 10**digits) / 10**digits
    give = abs(limit.asked - can)
    word = "at least" if limit.least else "at most"
    return (
        f"{limit.name}: {word} {limit.asked:g}{unit} asked, {can:g}{unit} can be reached, "
        f"so it would have to give {give:.{digits}f}{unit}"
    )


def _together(candidates: Candidates, limits: Limits) -> str:
    phrases = nearest(candidates, limits)
    return f"together: {'; and '.join(phrases)}" if phrases else "no flap from the side asked for"
