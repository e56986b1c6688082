"""Tension lines from four folds: closed forms, a second method, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_skin

from crena.mechanics.pinch import KNOWS_NOTHING_DEG, PINCHED_DEG, skin_with, tension_lines
from crena.records import InputError


def folds(mean, swing, axis_deg):
    """Return the heights of a skin whose lowest fold is squeezed along an axis."""
    return tuple(mean - swing * np.cos(2 * np.radians(np.array(PINCHED_DEG) - axis_deg)))


@pytest.mark.parametrize("axis", [0.0, 17.0, 45.0, 80.0, 90.0, 131.0, 179.0])
def test_axis_and_ratio_of_an_exact_skin_are_found_closed_form(axis):
    found = tension_lines(folds(12.0, 3.0, axis))
    assert (found.axis_deg - axis + 90) % 180 == pytest.approx(90.0, abs=1e-9)
    assert found.tension_ratio == pytest.approx(15 / 9, rel=1e-12)
    assert found.misfit_mm == pytest.approx(0.0, abs=1e-12) and found.warnings == ()


def test_folds_fit_as_a_general_least_squares_says():
    heights, t = np.array([9.0, 14.5, 12.0, 8.0]), np.radians(PINCHED_DEG)
    design = np.c_[np.ones(4), np.cos(2 * t), np.sin(2 * t)]
    (mean, a, b), rest, *_ = np.linalg.lstsq(design, heights, rcond=None)
    found = tension_lines(tuple(heights))
    assert found.mean_mm == pytest.approx(mean) and found.swing_mm == pytest.approx(np.hypot(a, b))
    assert found.misfit_mm**2 == pytest.approx(rest[0], rel=1e-9)
    low = (
        mean
        + a * np.cos(2 * np.radians(found.axis_deg))
        + b * np.sin(2 * np.radians(found.axis_deg))
    )
    assert low == pytest.approx(mean - np.hypot(a, b), rel=1e-12)


def test_errors_are_those_of_many_noisy_readings():
    """Readings with an error of 0.3 mm: the spread found is the error that is stated."""
    true, sd = np.array(folds(12.0, 3.0, 30.0)), 0.3
    noisy = true + np.random.default_rng(8).normal(0, sd, (4000, 4))
    found = [tension_lines(tuple(row), sd) for row in noisy]
    stated = tension_lines(tuple(true), sd)
    axes = np.std([f.axis_deg for f in found])
    ratios = np.std([f.tension_ratio for f in found])
    assert axes == pytest.approx(stated.axis_error_deg, rel=0.05)
    assert ratios == pytest.approx(stated.tension_error_ratio, rel=0.08)
    assert np.std([f.misfit_mm for f in found]) == pytest.approx(sd, rel=0.05)


def test_turning_the_hand_by_45_degrees_turns_the_axis_by_45():
    heights = (9.0, 14.0, 13.0, 8.5)
    here, there = tension_lines(heights), tension_lines((heights[3], *heights[:3]))
    assert (there.axis_deg - here.axis_deg) % 180 == pytest.approx(45.0, abs=1e-9)
    assert there.tension_ratio == pytest.approx(here.tension_ratio, rel=1e-12)
    assert there.misfit_mm == pytest.approx(-here.misfit_mm, abs=1e-12)


def test_equal_heights_say_no_direction():
    found = tension_lines((12.0, 12.0, 12.0, 12.0))
    assert found.tension_ratio == 1.0 and found.axis_error_deg == KNOWS_NOTHING_DEG
    assert len(found.warnings) == 1 and "do not say which way" in found.warnings[0]


@pytest.mark.parametrize(("swing", "count"), [(1.40, 1), (1.43, 0)])
def test_swing_within_the_error_of_reading_is_warned_of(swing, count):
    assert len(tension_lines(folds(12.0, swing, 20.0)).warnings) == count


def test_fourth_height_that_does_not_fit_is_warned_of():
    low, m45, high, m135 = folds(12.0, 3.0, 0.0)
    assert tension_lines((low, m45 + 1.9, high, m135 + 1.9)).warnings == ()
    (said,) = tension_lines((low, m45 + 2.1, high, m135 + 2.1)).warnings
    assert "2.1 mm are left over" in said


@pytest.mark.parametrize("bad", [0.0, -3.0, float("nan"), float("inf")])
@pytest.mark.parametrize("place", range(4))
def test_height_that_is_none_is_refused_with_its_direction(place, bad):
    heights = [10.0, 11.0, 12.0, 13.0]
    heights[place] = bad
    with pytest.raises(InputError, match=f"fold at {PINCHED_DEG[place]:g} degrees"):
        tension_lines(tuple(heights))


def test_heights_that_swing_more_than_their_mean_are_refused():
    with pytest.raises(InputError, match="more than one skin can"):
        tension_lines((0.1, 0.1, 10.0, 10.0))


@pytest.mark.parametrize(("heights", "sd"), [((9.0, 9.0, 9.0), 1.0), ((9.0,) * 4, 0.0)])
def test_three_heights_or_no_error_of_reading_are_refused(heights, sd):
    with pytest.raises(InputError):
        tension_lines(heights, sd)


def test_skin_takes_axis_and_ratio_and_keeps_its_mean_tension():
    skin = a_skin(tension_along_n_per_mm=0.05, tension_across_n_per_mm=0.04, axis_deg=3.0)
    lines = tension_lines(folds(11.0, 2.0, 65.0))
    found = skin_with(skin, lines)
    along, across = found.tension_along_n_per_mm, found.tension_across_n_per_mm
    assert along + across == pytest.approx(0.09, rel=1e-12)
    assert along / across == pytest.approx(13 / 9, rel=1e-12)
    assert found.axis_deg == pytest.approx(65.0)
    kept = replace(found, axis_deg=3.0, tension_along_n_per_mm=0.05, tension_across_n_per_mm=0.04)
    assert kept == skin
