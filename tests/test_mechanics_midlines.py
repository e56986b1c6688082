"""The scar and the midlines: moved by hand, against other methods, and after real closures."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_skin, lens, limberg
from test_mechanics_solver import balance

from crena.geometry.lines import least_midline_mm, midline_crossings, share_beyond
from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.midlines import material_midline_mm, midlines
from crena.mechanics.nearness import crossings, least_mm, share_within
from crena.mechanics.readings import scar_lines_mm
from crena.records import Closure, ClosureKind, CrenaError, InputError, Seam

SKIN = a_skin(fibre_kpa=0.0, shear_kpa=30.0)
HOLE_MM = ((-6.0, -15.0), (9.0, -11.0), (7.0, 14.0), (-4.0, 12.0))
"""Skin taken out across x = 0; its lower edge meets x = 0 at -13.4, its upper at 140/11."""


def square_hole():
    """Return a wound of four unequal sides whose left edge is sutured to its right."""
    a, b, c, d = HOLE_MM
    seam = Seam(name="gap", fixed_mm=(a, d), moved_mm=(b, c))
    return Closure(
        kind=ClosureKind.MIDLINE, name="hole", donor_side=None, points_mm={},
        removed_mm=HOLE_MM, incisions_mm=(), flaps=(), seams=(seam,), scar_mm=(),
        undermined_mm=(), parameters=(),
    )  # fmt: skip


def put(sheet, places):
    """Return a closure whose skin was put at places by hand."""
    return ClosureState(
        sheet=sheet, skin=SKIN, status=Status.CONVERGED, reason="By hand.", iterations=0,
        convex_steps=0, residual_n=0.0, tolerance_n=0.0, energy_n_mm=0.0,
        positions_mm=np.asarray(places, dtype=float), prestretch=np.eye(2),
    )  # fmt: skip


OPEN = mesh_closure(square_hole(), seam_step_mm=3.0, sheet_mm=120.0)
FLAP = balance(mesh_closure(limberg(), seam_step_mm=5.0), SKIN)


def test_midline_skin_that_does_not_move_stays_and_is_broken_by_the_hole():
    pieces = [np.array(piece) for piece in material_midline_mm(put(OPEN, OPEN.nodes_mm))]
    low, high = OPEN.nodes_mm[:, 1].min(), OPEN.nodes_mm[:, 1].max()
    assert [p[0, 1] for p in pieces] == pytest.approx([low, 140 / 11], abs=1e-9)
    assert [p[-1, 1] for p in pieces] == pytest.approx([-13.4, high], abs=1e-9)
    assert all(np.abs(p[:, 0]).max() <= 1e-12 and (np.diff(p[:, 1]) > 0).all() for p in pieces)


def test_midline_skin_goes_with_a_turn_a_stretch_and_a_shift_exactly():
    moved = np.array([[1.1, -0.4], [0.3, 0.9]])
    still = material_midline_mm(put(OPEN, OPEN.nodes_mm))
    pieces = material_midline_mm(put(OPEN, OPEN.nodes_mm @ moved.T + [3.0, -2.0]))
    for before, after in zip(still, pieces, strict=True):
        assert after == pytest.approx(np.array(before) @ moved.T + [3.0, -2.0], abs=1e-10)


def test_midline_skin_in_a_flap_goes_with_the_flap():
    sheet = mesh_closure(limberg(), seam_step_mm=5.0)
    sheet = replace(sheet, nodes_mm=sheet.nodes_mm - [30.0, 0.0])
    flap = np.unique(sheet.triangles[sheet.flap > 0])
    places = sheet.nodes_mm.copy()
    places[flap] += [0.0, 500.0]
    carried = [p for piece in material_midline_mm(put(sheet, places)) for p in piece if p[1] > 400]
    length = np.ptp(np.array(carried)[:, 1])
    assert length == pytest.approx(20 * 3**0.5, abs=4.0) and len(carried) > 6


def test_midline_skin_stays_whole_where_the_line_runs_through_nodes_and_along_edges():
    sheet = lens(size=13, seams=())
    sheet = replace(sheet, nodes_mm=np.round(sheet.nodes_mm))
    pieces = [np.array(p) for p in material_midline_mm(put(sheet, sheet.nodes_mm))]
    assert all(np.abs(p[:, 0]).max() == 0 for p in pieces)
    assert sum(np.ptp(p[:, 1]) for p in pieces) == 60.0


def test_scar_that_is_put_off_the_midline_has_the_distances_of_the_closed_form():
    state = put(OPEN, OPEN.nodes_mm + [14.0, 0.0])
    found = midlines(state, floor_mm=((14.0, -90.0), (14.0, 90.0)))
    assert found.sagittal.least_mm == pytest.approx(8.0, abs=1e-9)
    assert found.sagittal.within_10mm_ratio == pytest.approx(1.0, abs=1e-9)
    assert found.sagittal.crossings == 0
    assert found.lower_end_at_mm == pytest.approx((8.0, -15.0))
    assert found.floor.least_mm == pytest.approx(4.0, abs=1e-9)
    assert found.floor.lower_end_mm == pytest.approx(6.0, abs=1e-9)


@pytest.mark.parametrize("shift_mm", [-21.0, -3.7, 0.0, 6.2])
def test_sagittal_reference_agrees_with_the_clipping_of_each_segment(shift_mm):
    state = put(FLAP.sheet, FLAP.positions_mm + [shift_mm, 0.0])
    found, scar = midlines(state).sagittal, scar_lines_mm(state).values()
    assert found.least_mm == pytest.approx(least_midline_mm(scar), abs=1e-9)
    assert found.within_10mm_ratio == pytest.approx(1 - share_beyond(scar, 10.0), abs=1e-9)
    assert found.crossings == midline_crossings(scar)


def test_floor_on_the_sagittal_reference_is_the_sagittal_reference():
    found = midlines(FLAP)
    assert found.floor == found.sagittal
    given = midlines(FLAP, floor_mm=((0.0, -95.0), (0.0, 95.0)))
    assert given.floor == found.sagittal


def test_bent_floor_is_measured_as_it_runs():
    rng = np.random.default_rng(4)
    bent, other = rng.uniform(-40, 40, (6, 2)), rng.uniform(-40, 40, (5, 2))
    along = np.linspace(0, 1, 20001)[:, None]
    fine = [
        [a + along * (b - a) for a, b in zip(p[:-1], p[1:], strict=True)] for p in (bent, other)
    ]
    target = np.concatenate(fine[1])[::10]
    near = [least_of(p[::10], target) for p in fine[0]]
    length = np.linalg.norm(np.diff(bent, axis=0), axis=1)
    share = sum(w * (d <= 10).mean() for w, d in zip(length, near, strict=True)) / length.sum()
    assert share_within([bent], [other], 10.0) == pytest.approx(share, abs=2e-3)


def least_of(points, target):
    return np.array([np.linalg.norm(target - p, axis=1).min() for p in points[::4]])


@pytest.mark.parametrize("seed", [1, 2])
def test_distance_of_lines_is_the_same_both_ways_and_moves_with_them(seed):
    a, b = np.random.default_rng(seed).uniform(-9, 9, (2, 4, 2)) + [[[0, 0]], [[25, 3]]]
    turn = np.array([[0.8, -0.6], [0.6, 0.8]])
    there = least_mm([a], [b])
    assert there > 1
    assert least_mm([b], [a]) == pytest.approx(there, rel=1e-12)
    assert least_mm([a @ turn + 5], [b @ turn + 5]) == pytest.approx(there, rel=1e-12)


def test_lines_that_end_on_each_other_touch_and_one_place_counts_once():
    fork = [[(-4, 0), (0, 0), (3, 5)], [(0, 0), (3, -5)]]
    assert crossings(fork, [[(0, -2), (0, 0)], [(0, 0), (0, 2)]]) == 1
    assert least_mm(fork, [[(0, 0), (-3, 4)]]) == 0.0


def test_ends_of_the_midline_skin_lie_on_the_scar_of_a_closed_wound():
    found = midlines(FLAP)
    assert len(found.material_mm) == 2
    assert found.material.least_mm == 0.0 and found.material.crossings >= 2
    assert max(abs(x) for piece in found.material_mm for x, _ in piece) > 0.5


def test_mirrored_wound_has_the_same_distances():
    state = put(FLAP.sheet, FLAP.positions_mm)
    flipped = replace(
        FLAP.sheet, nodes_mm=FLAP.sheet.nodes_mm * [-1, 1],
        triangles=FLAP.sheet.triangles[:, ::-1],
    )  # fmt: skip
    here, there = midlines(state), midlines(put(flipped, FLAP.positions_mm * [-1, 1]))
    for name in ("sagittal", "material", "floor"):
        one, other = getattr(here, name), getattr(there, name)
        assert other.within_10mm_ratio == pytest.approx(one.within_10mm_ratio, abs=1e-9)
        assert other.lower_end_mm == pytest.approx(one.lower_end_mm, abs=1e-9)


def test_floor_that_is_no_line_and_wound_that_did_not_close_are_refused():
    with pytest.raises(InputError, match="two points"):
        midlines(FLAP, floor_mm=((0.0, 1.0),))
    with pytest.raises(CrenaError, match="no figures"):
        midlines(replace(FLAP, status=Status.NOT_CONVERGED))
    with pytest.raises(InputError, match="no seam"):
        midlines(put(replace(OPEN, seams=()), OPEN.nodes_mm))
