"""The pull of a rotation flap against Larrabee & Sutton, Laryngoscope 1981;91:726.

Piglets; only the abstract was read: round an arc of 180 degrees the tension is greatest
between 90 and 135 degrees, and little is gained by arcs beyond 90.
"""

from functools import cache

import numpy as np
import pytest
from test_mechanics_published import EVEN, FIBROUS, total_n, undermined

from crena.flaps import rotation
from crena.mechanics import readings
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.solver import close_wound
from crena.records import Side

ARCS_DEG = (45.0, 90.0, 135.0, 180.0)
ROTATION_RADIUS_MM = 40.0


@cache
def turned_flap(arc_deg, skin, base_mm=20.0):
    """Close a rotation flap: one radius, the arc free, the defect half as high again as wide."""
    measures = rotation.RotationFlap(
        donor_side=Side.RIGHT, base_cranial=True, centre_s_mm=0.0, centre_y_mm=0.0,
        base_mm=base_mm, height_mm=1.5 * base_mm, radius_mm=ROTATION_RADIUS_MM, arc_deg=arc_deg,
    )  # fmt: skip
    closure = undermined(rotation.close(measures), 20.0)
    return close_wound(mesh_closure(closure, seam_step_mm=4.0, sheet_mm=300.0), skin)


def round_the_arc(skin, base_mm=20.0):
    """Return degrees from the arc's beginning and the pull there, of an arc of 180 degrees."""
    found = readings.window_forces_n(turned_flap(180.0, skin, base_mm), "A–B–D", 6.0)
    over_deg = np.degrees(base_mm / ROTATION_RADIUS_MM)
    share = (np.arange(len(found)) + 0.5) / len(found)
    return share * (180 + over_deg) - over_deg, found


def leading_edge_n(arc_deg, skin):
    seams = readings.suture_forces(turned_flap(arc_deg, skin)).seams
    return next(seam.line_n for seam in seams if seam.name == "A–C")


def worst_window_n(arc_deg, skin):
    return readings.window_forces_n(turned_flap(arc_deg, skin), "A–B–D", 6.0).max()


def gain_ratio(force_n, skin):
    """Return the fall from 90 to 180 degrees over the fall from 45 to 90."""
    short, quarter, _, half = (force_n(arc, skin) for arc in ARCS_DEG)
    return (quarter - half) / (short - quarter)


@pytest.mark.parametrize(("skin", "lead"), [(EVEN, 1.06), (FIBROUS, 1.37)])
def test_pull_round_a_half_circle_is_greatest_at_90_to_135_degrees_larrabee1981b(skin, lead):
    """The lead is over the mean of all stitches."""
    at_deg, pull_n = round_the_arc(skin)
    assert 90 <= at_deg[pull_n.argmax()] <= 135
    assert pull_n.max() / pull_n.mean() == pytest.approx(lead, abs=0.03)


def test_pull_round_a_small_defect_does_not_reproduce_that_place_larrabee1981b():
    """Seen: with a base of 12 mm the greatest pull is at the defect, and the arc is even."""
    at_deg, pull_n = round_the_arc(EVEN, 12.0)
    assert at_deg[pull_n.argmax()] < 0
    beyond = pull_n[at_deg > 60]
    assert beyond.max() / beyond.min() < 1.15


@pytest.mark.parametrize("skin", [EVEN, FIBROUS])
def test_pull_at_the_leading_edge_never_rises_with_the_arc_larrabee1981b(skin):
    forces = [leading_edge_n(arc, skin) for arc in ARCS_DEG]
    assert forces == sorted(forces, reverse=True)


@pytest.mark.parametrize(("skin", "gain"), [(EVEN, 0.90), (FIBROUS, 0.63)])
def test_pull_at_the_leading_edge_does_not_reproduce_the_end_of_gain_larrabee1981b(skin, gain):
    """Published: little is gained beyond 90 degrees; asked: below half. Seen: 90 and 63 %."""
    assert gain_ratio(leading_edge_n, skin) == pytest.approx(gain, abs=0.05)


def test_greatest_pull_gains_little_or_nothing_beyond_90_degrees_larrabee1981b():
    """Fibrous skin: none, it rises by 4 %. Even skin: 56 % of what 45 to 90 gains, not below half.

    The greatest pull is that of any stitch of 6 mm along the arc.
    """
    assert gain_ratio(worst_window_n, FIBROUS) == pytest.approx(-0.06, abs=0.05)
    assert gain_ratio(worst_window_n, EVEN) == pytest.approx(0.56, abs=0.05)


def test_sum_of_all_sutures_does_not_reproduce_a_fall_with_the_arc_larrabee1981b():
    """Seen: it grows by 60 %, since a longer seam crosses more skin that is under tension."""
    forces = [total_n(turned_flap(arc, EVEN)) for arc in ARCS_DEG]
    assert forces == sorted(forces)
    assert forces[-1] / forces[0] == pytest.approx(1.59, abs=0.05)
