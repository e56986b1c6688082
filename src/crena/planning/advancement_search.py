"""Exhaustive search of the asymmetric advancement by closed form."""

import numpy as np
from numpy.typing import NDArray

from crena.flaps import advancement
from crena.flaps.scars import SHARE_AT_MM
from crena.geometry.lenses import Lens, smallest_sagittas_mm
from crena.geometry.lines import shares_beyond, signed_distances_mm
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

ARC_POINTS = 25
"""Points that stand for an arc when its distances are measured."""


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
    return candidates_of(FAMILY, rows, anal_verge)


def candidates_of(family: str, rows: Floats, anal_verge: Point2) -> Candidates:
    """Measure advancements given as rows (n, 7): both poles, both sagittas, side of the poles."""
    return Candidates(
        family=family,
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
    """Measure many lenses; where the scar lies is taken as if both edges gave way alike."""
    length = np.hypot(rows[:, 0] - rows[:, 2], rows[:, 1] - rows[:, 3])
    left, right = _arcs(rows)
    medial = np.where(rows[:, 6:7, None] > 0, left, right)
    away = medial - rows[:, 6, None, None] * np.array([advancement.UNDERMINED_MM, 0.0])
    areas = [
        np.concatenate([left, right[:, ::-1]], axis=1),
        np.concatenate([medial, away[:, ::-1]], axis=1),
    ]
    arcs = arc_lengths_mm(length[:, None], rows[:, 4:6])
    return np.column_stack(
        [
            segment_areas_mm2(length[:, None], rows[:, 4:6]).sum(axis=1),
            rows[:, 4:6].sum(axis=1),
            np.abs(rows[:, 2]),
            np.minimum(*(signed_distances_mm(verge, area) for area in areas)),
            length / advancement.UNDERMINED_MM,
            np.abs(arcs[:, 0] - arcs[:, 1]),
            shares_beyond((left + right) / 2, SHARE_AT_MM),
            np.zeros(len(rows)),
        ]
    )


def _arcs(rows: Floats) -> tuple[Floats, Floats]:
    """Return points (n, k, 2) of the left and the right arc of each lens, cranial to caudal."""
    top, bottom = rows[:, 0:2], rows[:, 2:4]
    along = bottom - top
    half = np.linalg.norm(along, axis=1, keepdims=True) / 2
    right = np.column_stack([-along[:, 1], along[:, 0]]) / (2 * half)
    turn = 2 * np.arctan(rows[:, 4:6] / half)
    arcs = []
    for k, sign in ((0, -1.0), (1, 1.0)):
        angle = turn[:, k, None] * np.linspace(-1, 1, ARC_POINTS)
        radius = half / np.sin(turn[:, k, None])
        off = sign * radius * (np.cos(angle) - np.cos(turn[:, k, None]))
        share = 0.5 + radius * np.sin(angle) / (2 * half)
        arcs.append(
            top[:, None] + share[..., None] * along[:, None] + off[..., None] * right[:, None]
        )
    return arcs[0], arcs[1]
