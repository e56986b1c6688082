"""Where a flap comes to lie when it is sewn, triangle by triangle.

A rigid motion carries a flap that fits. One that does not fit is drawn to the edges of the
wound by its seams: each of its corners goes where its seam brings it, and between them it is
spread evenly. Corners that no seam brings to the wound stay at an uncut base, or else go with
the rigid motion.
"""

import numpy as np
from numpy.typing import NDArray

from crena.geometry.lines import distances_mm
from crena.geometry.motions import moved
from crena.geometry.triangles import areas_mm2, ears
from crena.records import Closure, Seam

Floats = NDArray[np.float64]

_SAME_PLACE_MM = 1e-6
"""Nearer than this, two points are one."""


def sewn_triangles(closure: Closure, number: int) -> tuple[Floats, Floats]:
    """Return the triangles of one flap where it comes from and where it is sewn.

    Parameters
    ----------
    closure : Closure
        With its seams.
    number : int
        The flap, from 1.

    Returns
    -------
    tuple of (k, 3, 2) and (k, 3, 2) float
        Home and place. If the seams would fold the flap, the rigid motion carries it.
    """
    flap = closure.flaps[number - 1]
    home = np.asarray(flap.outline_mm, dtype=float)
    rigid = moved(flap.motion, home)
    sewn = _sewn(closure, number, home)
    placed = np.where(np.isnan(sewn), _unsewn(flap.pedicle_mm, sewn, home, rigid), sewn)
    both = ears(np.column_stack([home, placed]))
    if (areas_mm2(both[..., 2:]) <= 0).any():
        both = ears(np.column_stack([home, rigid]))
    return both[..., :2], both[..., 2:]


def _sewn(closure: Closure, number: int, home: Floats) -> Floats:
    """Return where seams bring corners (n, 2) to the wound's edge; NaN where none does."""
    rim = np.asarray(closure.removed_mm, dtype=float)
    places = np.full_like(home, np.nan)
    for seam in closure.seams:
        if seam.moved_flap == number and seam.fixed_flap == 0:
            for n, corner in enumerate(home):
                place = _partner(seam, corner)
                if place is not None and _on(rim, place):
                    places[n] = place
    return places


def _unsewn(
    pedicle_mm: tuple[tuple[float, float], ...] | None, sewn: Floats, home: Floats, rigid: Floats
) -> Floats:
    """Return where all other corners go: they stay if the seams leave the base alone."""
    if pedicle_mm is None or np.isnan(sewn).all():
        return rigid
    base = [int(np.argmin(np.hypot(*(home - end).T))) for end in np.array(pedicle_mm)]
    return home if np.isnan(sewn[base]).all() else rigid


def _partner(seam: Seam, corner: Floats) -> Floats | None:
    """Return the place on a seam's fixed edge at the same share of its length."""
    edge, fixed = (np.asarray(line, dtype=float) for line in (seam.moved_mm, seam.fixed_mm))
    at = np.hypot(*(edge - corner).T)
    if at.min() > _SAME_PLACE_MM:
        return None
    share = _shares(edge)[int(np.argmin(at))]
    return np.array([np.interp(share, _shares(fixed), fixed[:, k]) for k in (0, 1)])


def _shares(line: Floats) -> Floats:
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    return np.asarray(run / run[-1])


def _on(rim: Floats, place: Floats) -> bool:
    return bool(distances_mm(place, np.concatenate([rim, rim[:1]])[None])[0] < 1e-3)
