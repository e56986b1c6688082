"""Advancement and the two comparators."""

import numpy as np
import pytest

from crena.flaps import advancement, midline
from crena.geometry.lenses import Fusiform, Lens
from crena.geometry.measures import polygon_area_mm2
from crena.records import Side

LENS = Lens(
    cranial_pole_mm=(20.0, 80.0),
    caudal_pole_mm=(22.0, 0.0),
    left_sagitta_mm=30.0,
    right_sagitta_mm=10.0,
)


def test_edges_differ_as_their_arcs_do():
    shape = advancement.shape_of(advancement.close(LENS, Side.RIGHT), LENS)
    assert shape.edge_mismatch_mm == pytest.approx(23.96, abs=0.05)
    assert shape.donor_closure_mm == 40.0


def test_outline_of_the_advancement_has_the_area_of_its_lens():
    outline = advancement.close(LENS, Side.RIGHT).removed_mm
    assert abs(polygon_area_mm2(outline)) == pytest.approx(LENS.area_mm2, rel=1e-3)


def test_scar_keeps_to_the_side_of_the_poles_and_the_flap_comes_from_the_other():
    closure = advancement.close(LENS, Side.RIGHT)
    assert min(x for x, _ in closure.scar_mm[0]) == 20.0
    assert closure.donor_side is Side.LEFT
    assert closure.flaps[0].motion.shift_mm == (40.0, 0.0)


def test_advancement_says_what_happens_if_both_edges_give_way_alike():
    assert "if both edges give way alike" in advancement.close(LENS, Side.RIGHT).warnings[0]


def test_midline_closure_carries_the_published_warning():
    fusiform = Fusiform(
        centre_s_mm=0.0, centre_y_mm=30.0, length_mm=90.0, aspect_ratio=3.0, tilt_deg=0.0
    )
    closure = midline.close(fusiform)
    assert "obsolete" in closure.warnings[0] and "S3" in closure.warnings[0]
    assert np.allclose(np.array(closure.scar_mm[0])[:, 0], 0)


def test_leaving_open_has_no_seam():
    fusiform = Fusiform(
        centre_s_mm=0.0, centre_y_mm=30.0, length_mm=90.0, aspect_ratio=3.0, tilt_deg=0.0
    )
    assert midline.leave_open(fusiform).seams == ()
