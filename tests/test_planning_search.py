"""Search and front: closed-form measures against the drawings, and dominance."""

from dataclasses import replace

import numpy as np
import pytest
from factory import case, tract_map

from crena.flaps.scars import measure_scar
from crena.geometry.measures import polygon_area_mm2
from crena.planning import advancement_search, rhombic_search
from crena.planning.candidates import measured
from crena.planning.choice import as_good_as_any, behind_all, best_at, distinct
from crena.planning.compose import search
from crena.planning.front import front
from crena.planning.measuring import verge_distance_mm
from crena.planning.refusals import all_kept
from crena.sinus.excise import field_of
from crena.sinus.footprint import footprint

CASE = case()
VERGE = (0.0, -42.0)
FAMILIES = search(field_of(tract_map(), CASE.precision), CASE.limits, VERGE)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.family)
def test_measures_of_the_search_are_those_of_the_drawing(family):
    room = advancement_search if family.family == advancement_search.FAMILY else rhombic_search
    for index in np.linspace(0, len(family) - 1, 12).astype(int):
        drawing = room.drawn(family, int(index), 0.0, 0.0)
        scar = measure_scar(drawing.closure, VERGE, 1.0)
        row = {n: measured(family, n)[index] for n in ("donor_closure_mm", "share_beyond_10mm",
               "lower_end_midline_mm", "base_to_length_ratio")}  # fmt: skip
        assert drawing.shape.donor_closure_mm == pytest.approx(row["donor_closure_mm"], rel=0.06)
        verge_mm = measured(family, "anal_verge_mm")[index]
        assert verge_distance_mm(drawing.closure, VERGE) == pytest.approx(verge_mm, abs=1.6)
        area_mm2 = abs(polygon_area_mm2(drawing.closure.removed_mm))
        assert area_mm2 == pytest.approx(measured(family, "area_mm2")[index], rel=0.1)
        assert scar.lower_end_midline_mm == pytest.approx(row["lower_end_midline_mm"], abs=1.6)
        if room is rhombic_search:
            assert scar.share_beyond_10mm == pytest.approx(row["share_beyond_10mm"], abs=0.03)
        else:
            assert scar.share_beyond_10mm >= row["share_beyond_10mm"]
        if drawing.shape.base_to_length_ratio is not None:
            assert drawing.shape.base_to_length_ratio == pytest.approx(row["base_to_length_ratio"])


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.family)
def test_search_never_keeps_a_breach(family):
    kept = all_kept(family, CASE.limits)
    assert (measured(family, "lower_end_midline_mm")[kept] >= 20 - 1e-5).all()
    assert (measured(family, "anal_verge_mm")[kept] >= 25 - 1e-5).all()
    assert (measured(family, "base_to_length_ratio")[kept] >= 0.7 - 1e-5).all()


def test_not_a_number_never_keeps_a_limit():
    family = FAMILIES[0]
    family.measures[0, :] = np.nan
    assert not all_kept(family, CASE.limits)[0]


def test_front_agrees_with_the_definition():
    values = np.random.default_rng(1).integers(0, 6, (300, 4)).astype(float)
    direct = [
        i
        for i, row in enumerate(values)
        if not ((values <= row).all(axis=1) & (values < row).any(axis=1)).any()
    ]
    assert front(values).tolist() == direct


def test_front_does_not_depend_on_the_order_of_rows():
    values = np.random.default_rng(2).integers(0, 9, (200, 3)).astype(float)
    turn = np.random.default_rng(3).permutation(200)
    assert sorted(turn[front(values[turn])].tolist()) == front(values).tolist()


def test_one_plan_of_each_family_and_never_more_than_five():
    values = np.random.default_rng(4).uniform(0, 1, (40, 5))
    families = [f"f{i % 7}" for i in range(40)]
    chosen = distinct(values, families)
    assert len(chosen) == 5 == len({families[i] for i in chosen})


def test_strengths_and_prices_are_told_apart_from_ties():
    values = np.array([[1.0, 5, 3, 0, 0], [2.0, 5, 2, 0, 0], [3.0, 4, 2, 0, 0]])
    assert best_at(values)[0] == ["least skin taken"]
    assert as_good_as_any(values)[1] == ["scar furthest off the midline"]
    assert behind_all(values)[0] == ["scar furthest off the midline"]


def test_scaled_disease_and_limits_give_the_scaled_outlines():
    field = field_of(tract_map(), CASE.precision)
    hull = footprint(field.parts, field.skin, 7.0, 0.0)
    k = 1.3
    wide = replace(CASE.limits, lower_end_midline_mm=20 * k, anal_verge_mm=25 * k)
    one = rhombic_search.rhombic_candidates(hull, CASE.limits, VERGE)
    other = rhombic_search.rhombic_candidates(hull * k, wide, (0.0, VERGE[1] * k))
    for small, large in zip(one, other, strict=True):
        assert np.allclose(large.rows[:, :3], k * small.rows[:, :3], atol=1e-6)
        assert np.allclose(
            measured(large, "donor_closure_mm"), k * measured(small, "donor_closure_mm"), atol=1e-6
        )
