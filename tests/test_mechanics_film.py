"""The film of the skin: only a closure in balance is filmed, and its figures are the solver's."""

from dataclasses import replace
from itertools import pairwise
from math import dist

import numpy as np
import pytest
from sample_closures import random_v_y
from sample_films import PLANS, film_of, state_of

from crena.mechanics._plane import areas_mm2
from crena.mechanics.closed import Status
from crena.mechanics.film import film_state, in_between_mm
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.readings import open_forces_n, scar_lines_mm
from crena.mechanics.solver import close_wound
from crena.mechanics.tension import TENSION_RATIOS, tensions_n_per_mm
from crena.records import CrenaError, InputError, PullClass

NAMES = list(PLANS)
RIGHT, LEFT, ADVANCEMENT = NAMES


def area_mm2(ring):
    x, y = np.array(ring).T
    return 0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()


def length_mm(line):
    return sum(dist(p, q) for p, q in pairwise(line))


@pytest.mark.parametrize("status", [one for one in Status if one is not Status.CONVERGED])
def test_a_run_that_failed_is_never_filmed_and_says_why(status):
    failed = replace(state_of(ADVANCEMENT), status=status, reason="The corner at B folded.")
    with pytest.raises(CrenaError, match="The corner at B folded"):
        film_state(PLANS[ADVANCEMENT].closure, failed)


@pytest.mark.parametrize("name", NAMES)
def test_the_way_begins_as_cut_and_ends_sutured(name):
    state = state_of(name)
    np.testing.assert_allclose(in_between_mm(state, 0.0), state.sheet.nodes_mm, atol=1e-8)
    np.testing.assert_allclose(in_between_mm(state, 1.0), state.positions_mm, atol=1e-8)


def test_a_wound_that_is_left_open_is_not_filmed():
    state = state_of(ADVANCEMENT)
    open_wound = replace(state, sheet=replace(state.sheet, seams=()))
    with pytest.raises(InputError, match="left open"):
        film_state(PLANS[ADVANCEMENT].closure, open_wound)


def test_an_island_goes_straight_to_its_place():
    sheet = mesh_closure(random_v_y(np.random.default_rng(5)), seam_step_mm=9.0)
    state = close_wound(sheet, ASSUMED_SKIN)
    np.testing.assert_allclose(in_between_mm(state, 1.0), state.positions_mm, atol=1e-8)
    island = np.unique(sheet.triangles[sheet.flap == 1])
    way = [in_between_mm(state, share)[island].mean(axis=0) for share in (0.0, 0.5, 1.0)]
    assert dist(way[1], (way[0] + way[2]) / 2) < 0.1 * dist(way[0], way[2])


def test_half_of_an_even_stretch_is_half_of_the_stretch():
    state = state_of(RIGHT)
    whole, half = np.array([1.2, 0.9]), np.array([1.1, 0.95])
    stretched = replace(state, positions_mm=state.sheet.nodes_mm * whole)
    at = in_between_mm(stretched, 0.5)
    np.testing.assert_allclose(at, state.sheet.nodes_mm * half, atol=1e-9)


def test_only_the_last_moment_is_called_computed():
    moments = film_of(RIGHT).moments
    assert [one.computed for one in moments] == [False, False, False, True]
    assert [one.turned_fraction for one in moments] == pytest.approx([0, 1 / 3, 2 / 3, 1])


def test_skin_that_has_not_moved_bears_its_tension_at_rest():
    state = state_of(RIGHT)
    at_rest = replace(state, positions_mm=state.sheet.nodes_mm)
    principal = np.linalg.eigvalsh(tensions_n_per_mm(at_rest))
    wanted = sorted((ASSUMED_SKIN.tension_along_n_per_mm, ASSUMED_SKIN.tension_across_n_per_mm))
    np.testing.assert_allclose(principal, np.broadcast_to(wanted, principal.shape), atol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_tension_and_forces_of_the_nodes_do_the_same_work(name):
    state = state_of(name)
    free = replace(state, skin=replace(state.skin, foundation_n_per_mm3=0.0))
    areas = areas_mm2(free.positions_mm, free.sheet.triangles)
    from_tension = np.einsum("m,mij->ij", areas, tensions_n_per_mm(free))
    from_forces = np.einsum("ni,nj->ij", open_forces_n(free), free.positions_mm)
    np.testing.assert_allclose(from_forces, from_tension, rtol=1e-8, atol=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_the_gap_is_the_specimen_and_has_closed_when_sutured(name):
    first, *_, last = film_of(name).moments
    gap_mm2 = abs(sum(area_mm2(edge) for edge in first.edges_mm))
    removed_mm2 = abs(area_mm2(PLANS[name].closure.removed_mm))
    assert gap_mm2 == pytest.approx(removed_mm2, rel=0.01)
    assert last.edges_mm == last.free_edges_mm == ()


@pytest.mark.parametrize("name", NAMES)
def test_the_windows_of_a_seam_make_up_its_whole_scar(name):
    scar = film_of(name).moments[-1].scar
    for seam, line in scar_lines_mm(state_of(name)).items():
        own = [one.line_mm for one in scar if one.seam == seam]
        assert all(a[-1] == pytest.approx(b[0]) for a, b in pairwise(own))
        assert sum(map(length_mm, own)) == pytest.approx(length_mm(line))
    assert PullClass.HIGH in {one.pull for one in scar}


def test_bands_of_tension_do_not_overlap_and_follow_on_each_other():
    bands = film_of(RIGHT).moments[-1].tension
    ends = [bands[0].high_ratio, *(band.low_ratio for band in bands[1:])]
    assert ends == list(TENSION_RATIOS)
    assert all(a.high_ratio == b.low_ratio for a, b in pairwise(bands[1:]))
    shown_mm2 = sum(area_mm2(ring) for band in bands for ring in band.rings_mm)
    low, high = film_of(RIGHT).low_mm, film_of(RIGHT).high_mm
    assert 0 < shown_mm2 < (high[0] - low[0]) * (high[1] - low[1])


def test_a_flap_from_the_other_side_gives_the_mirrored_picture():
    right, left = film_of(RIGHT), film_of(LEFT)
    assert left.low_mm == (-right.high_mm[0], right.low_mm[1])
    for one, other in zip(right.moments[-1].tension, left.moments[-1].tension, strict=True):
        areas = [sum(map(area_mm2, band.rings_mm)) for band in (one, other)]
        assert areas[0] == pytest.approx(areas[1], rel=0.1, abs=60.0)
    turned = np.array(left.moments[1].flaps_mm[0]) * [-1, 1]
    far = [min(dist(p, q) for q in right.moments[1].flaps_mm[0]) for p in turned]
    assert max(far) < 2.0


def test_the_lines_on_the_skin_lie_10_mm_apart_before_the_cut():
    first = film_of(ADVANCEMENT).moments[0]
    for line in first.grid_mm:
        off = np.abs(np.array(line) / 10 - np.round(np.array(line) / 10)).max(axis=0)
        assert off.min() < 1e-6
    assert all(abs(x) < 1e-4 for line in first.midline_mm for x, _ in line)
