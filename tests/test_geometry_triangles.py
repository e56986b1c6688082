"""Loose triangles: cutting loses nothing, ears fill the outline, places are found."""

import numpy as np
import pytest
from matplotlib.path import Path

from crena.geometry.measures import polygon_area_mm2
from crena.geometry.triangles import areas_mm2, ears, located, split, weights
from crena.records import InputError

RNG = np.random.default_rng(5)
HOOK = [(0, 0), (30, -4), (33, 21), (20, 22), (21, 9), (8, 8), (4, 24), (-6, 15)]


def test_two_parts_fill_the_triangles_and_keep_their_fields():
    whole = RNG.normal(size=(500, 3, 4))
    levels = whole[..., 2] - 0.3
    above, below = split(whole, levels)
    assert (above[..., 2] >= 0.3 - 1e-12).all() and (below[..., 2] <= 0.3 + 1e-12).all()
    for field in (lambda t: np.ones(len(t)), lambda t: t[..., 3].mean(axis=1)):
        parts = sum((np.abs(areas_mm2(t)) * field(t)).sum() for t in (above, below))
        assert parts == pytest.approx((np.abs(areas_mm2(whole)) * field(whole)).sum(), rel=1e-12)


def test_a_line_through_a_corner_cuts_the_triangle_in_two():
    whole = np.array([[(0.0, 0.0), (6.0, 0.0), (0.0, 4.0)]])
    above, below = split(whole, np.array([[0.0, 1.0, -1.0]]))
    assert areas_mm2(above).tolist() == [6.0] and areas_mm2(below).tolist() == [6.0]


@pytest.mark.parametrize("outline", [HOOK, HOOK[::-1], [*HOOK, HOOK[0]]])
def test_ears_fill_a_hooked_outline_either_way_round(outline):
    found = ears(outline)
    assert (areas_mm2(found) > 0).all()
    assert areas_mm2(found).sum() == pytest.approx(polygon_area_mm2(HOOK), rel=1e-12)
    assert Path(HOOK).contains_points(found.mean(axis=1)).all()


def test_an_outline_with_a_loop_is_refused():
    with pytest.raises(InputError, match="crosses itself"):
        ears([(0, 0), (10, 10), (10, 0), (0, 10), (-5, 5)])


def test_places_are_found_as_an_even_odd_test_finds_them():
    points = RNG.uniform(-10, 36, size=(3000, 2))
    found, shares = located(ears(HOOK), points)
    assert np.array_equal(found >= 0, Path(HOOK).contains_points(points))
    back = np.einsum("nc,ncd->nd", shares, ears(HOOK)[found])
    assert back[found >= 0] == pytest.approx(points[found >= 0], abs=1e-9)


def test_weights_of_a_triangle_rebuild_any_place():
    triangle, points = np.array([(1.0, 2.0), (7.0, 3.0), (2.0, 9.0)]), RNG.normal(size=(9, 2))
    assert weights(np.broadcast_to(triangle, (9, 3, 2)), points) @ triangle == pytest.approx(
        points, abs=1e-12
    )
