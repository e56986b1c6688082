"""Exhaustive search of the asymmetric advancement by closed form."""

import numpy as np
from numpy.typing import NDArray

from crena.flaps import advancement
from crena.geometry.lenses import Lens, smallest_sagittas_mm
from crena.geometry.measures import arc_lengths_mm, segment_areas_mm2
from crena.planning.candidates import Candidates
from crena.planning.drawings import Drawing
from crena.records import Limits, Point2, Side, point2

Floats = NDArray[np.float64]

FAMILY = "asymmetric advancement"

LEAST_SAGITTA_MM = 4.0
"""The lateral edge keeps at least this much bulge, so that both edges are arcs (assumed)."""

LEAST_ASPECT = 2.0
"""Length over width below which edges of an advancement no longer meet well (assumed)."""

POLE_STEPS_MM = (0.0, 5.0, 10.0)
REACH_MM = np.arange(4.0, 61.0, 4.0)
"""How far the poles lie beyond the footprint, cranially and caudally."""

SHARE_AT_MM = 10.0


def advancement_candidates(footprint: Floats, limits: Limits, anal_verge: Point2) -> Candidates:
    """Return every advancement on the grid of poles, on both sides.

    Parameters
    ----------
    footprint : (k, 2) float
        Hull that the outline must hold, (s, y) mm.
    limits : Limits
        The poles lie at least as far off the midline as the scar's lower end must.
    anal_verge : (2,) float
        In (s, y), mm.
    """
    rows = np.concatenate([_lenses(footprint, limits, sign) for sign in (-1, 1)])
    return Candidates(
        family=FAMILY,
        rows=rows,
        measures=_measures(rows, np.asarray(anal_verge)),
        donor_sign=-rows[:, 6].astype(np.int64),
    )


def drawn(candidates: Candidates, index: int, wall_angle_deg: float, grow_mm: float) -> Drawing:
    """Draw one candidate, grown by a margin where the clearance in 3-D asks for more."""
    row = candidates.rows[index]
    side = Side.RIGHT if row[6] > 0 else Side.LEFT
    stretch = np.array([0.0, 2 * grow_mm])
    lens = Lens(
        cranial_pole_mm=point2(row[0:2] + stretch),
        caudal_pole_mm=point2(row[2:4] - stretch),
        left_sagitta_mm=float(np.ceil(row[4] + grow_mm)),
        right_sagitta_mm=float(np.ceil(row[5] + grow_mm)),
    )
    closure = advancement.close(lens, side)
    return Drawing(
        outline=advancement.outline_of(lens, side, wall_angle_deg),
        closure=closure,
        shape=advancement.shape_of(closure, lens),
    )


def _lenses(footprint: Floats, limits: Limits, sign: int) -> Floats:
    """Return rows of cranial pole, caudal pole, left and right sagitta, side."""
    top, bottom = footprint[:, 1].max(), footprint[:, 1].min()
    off = limits.lower_end_midline_mm
    poles = np.array(
        [
            [(sign * (off + p), top + u), (sign * (off + q), bottom - v)]
            for p in POLE_STEPS_MM
            for q in POLE_STEPS_MM
            for u in REACH_MM
            for v in REACH_MM
        ]
    )
    sagittas = np.maximum(smallest_sagittas_mm(footprint, poles), LEAST_SAGITTA_MM)
    length = np.linalg.norm(poles[:, 0] - poles[:, 1], axis=1)
    fits = np.isfinite(sagittas).all(axis=1) & (length >= LEAST_ASPECT * sagittas.sum(axis=1))
    side = np.full((len(poles), 1), float(sign))
    return np.asarray(np.concatenate([poles.reshape(-1, 4), sagittas, side], axis=1)[fits])


def _measures(rows: Floats, verge: Floats) -> Floats:
    length = np.hypot(rows[:, 0] - rows[:, 2], rows[:, 1] - rows[:, 3])
    left, right = rows[:, 4], rows[:, 5]
    low = np.minimum(np.abs(rows[:, 0]), np.abs(rows[:, 2]))
    return np.column_stack(
        [
            segment_areas_mm2(length, left) + segment_areas_mm2(length, right),
            left + right,
            np.abs(rows[:, 2]),
            np.hypot(rows[:, 2] - verge[0], rows[:, 3] - verge[1]),
            np.ones(len(rows)),
            np.abs(arc_lengths_mm(length, left) - arc_lengths_mm(length, right)),
            np.where(low >= SHARE_AT_MM, 1.0, 0.0),
            np.zeros(len(rows)),
        ]
    )
