"""The dye: doses by dye, state and drug, and the volume to stop at."""

from dataclasses import fields, replace
from math import pi, sqrt

import numpy as np
import pytest
from factory import case, tract_map

from crena.healing.dye import Dye, check_dye
from crena.healing.dye_volume import dye_volume
from crena.records import Allergies, Answer, Cavity, Drugs, InputError, Origin, Tract

FINDINGS = case().findings


def findings(**drugs):
    no = {f.name: Answer.NO for f in fields(Drugs) if f.name != "note"}
    return replace(FINDINGS, drugs=Drugs(**{**no, **drugs}))


def tube(*centre, outer_mm=2.5):
    return Tract(
        name="T", centre_mm=centre, radius_mm=(outer_mm,) * len(centre), origin=Origin.PROBING,
        sd_mm=1, length_mm=1, length_sd_mm=1, depth_mm=1, lateral_reach_mm=0, volume_ml=0,
    )  # fmt: skip


def ball(outer_mm, at=(0.0, 0.0, 0.0)):
    axes = ((outer_mm, 0.0, 0.0), (0.0, outer_mm, 0.0), (0.0, 0.0, outer_mm))
    return Cavity(
        name="C", centre_mm=at, half_axes_mm=axes, origin=Origin.SCAN, sd_mm=1, volume_ml=0
    )


@pytest.mark.parametrize("dye", list(Dye))
@pytest.mark.parametrize("answer", list(Answer))
def test_each_dye_is_refused_unless_allergy_was_asked_and_denied(dye, answer):
    asked = replace(findings(), allergies=Allergies(dye=answer))
    if answer is Answer.NO:
        assert any(dye.value in flag for flag in check_dye(dye, 1.0, 1.0, 70.0, asked).flags)
    else:
        with pytest.raises(InputError, match="llergy to dye"):
            check_dye(dye, 1.0, 1.0, 70.0, asked)


@pytest.mark.parametrize(
    ("drug", "words"), [("serotonergic", "serotonin"), ("g6pd_deficiency", "haemolysis")]
)
@pytest.mark.parametrize("answer", list(Answer))
def test_what_speaks_against_methylene_blue_is_not_said_of_the_other_dyes(drug, words, answer):
    said = {d: check_dye(d, 0.1, 1.0, 70.0, findings(**{drug: answer})).flags for d in Dye}
    flagged = {d for d, flags in said.items() if any(words in flag for flag in flags)}
    assert flagged == (set() if answer is Answer.NO else {Dye.METHYLENE_BLUE})


def test_no_limit_is_invented_for_a_dye_without_one():
    flags = check_dye(Dye.PATENT_BLUE_V, 50.0, 2.5, 70.0, findings()).flags
    assert any("No limit by body weight is held here" in flag for flag in flags)
    assert any("11 of 1,247" in flag for flag in flags)


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ((2.0, 1.0, None), "not entered"),
        ((2.0, 1.0, 7.0), "body weight of 7 kg"),
        ((2.0, 1.0, float("inf")), "body weight"),
        ((-2.0, 1.0, 70.0), "-2 mL"),
        ((2.0, 0.0, 70.0), "0 %"),
        ((2.0, 250.0, 70.0), "250 %"),
    ],
)
def test_amounts_that_cannot_be_meant_are_refused_with_their_figure(amount, words):
    with pytest.raises(InputError, match=words):
        check_dye(Dye.METHYLENE_BLUE, *amount, findings())


def test_straight_tract_of_1_5_mm_and_40_mm_holds_its_capsule():
    """pi r^2 L + 4/3 pi r^3 = 296.88 mm3, exactly; the wall of 1 mm holds no dye."""
    held = dye_volume([tube((0, 0, 0), (0, 24, 32))], [])
    assert held.middle_ml == pytest.approx(0.29688, abs=5e-6)


def test_lower_tenth_is_the_quantile_of_many_drawn_radii():
    held = dye_volume([tube((0, 0, 0), (30, 0, 0)), tube((0, 50, 0), (0, 70, 0), outer_mm=3)], [])
    error = np.random.default_rng(5).normal(0, 0.3, 200_000)
    thin, wide = np.maximum(1.5 + error, 0), np.maximum(2.0 + error, 0)
    drawn = pi * (thin**2 * 30 + wide**2 * 20) + 4 / 3 * pi * (thin**3 + wide**3)
    assert [held.low_ml, held.high_ml] == pytest.approx(
        np.quantile(drawn, [0.1, 0.9]) / 1000, rel=5e-3
    )
    assert held.stop_at_ml == pytest.approx(0.8 * held.low_ml, rel=1e-12)


def test_a_tract_that_ends_in_a_hollow_counts_their_shared_part_once():
    """Ball of 5 mm, tract of 1.5 mm from its centre: the tract beyond the ball, closed form."""
    held = dye_volume([tube((0, 0, 0), (0, 18, 24))], [ball(6.0)])
    foot = sqrt(5.0**2 - 1.5**2)
    cap = pi * (5 - foot) / 6 * (3 * 1.5**2 + (5 - foot) ** 2)
    outside = pi * 1.5**2 * (30 - foot) - cap + 2 / 3 * pi * 1.5**3
    both = 4 / 3 * pi * 5**3 + outside
    assert held.middle_ml * 1000 == pytest.approx(both, rel=5e-3)
    assert held.middle_ml * 1000 < both + pi * 1.5**2 * foot / 2


def test_a_tract_drawn_twice_holds_no_more_than_once():
    one = tube((0, 0, 0), (10, 4, -3), (20, 4, -9))
    assert dye_volume([one, one], []).middle_ml == pytest.approx(
        dye_volume([one], []).middle_ml, rel=1e-12
    )


def test_volume_does_not_change_when_the_body_is_mirrored_or_moved():
    tracts, hollows = tract_map().tracts, tract_map().cavities
    mirrored = [
        replace(t, centre_mm=tuple((7 - x, y + 90, z - 4) for x, y, z in t.centre_mm))
        for t in tracts
    ]
    turned = [
        replace(c, centre_mm=(7 - c.centre_mm[0], c.centre_mm[1] + 90, c.centre_mm[2] - 4))
        for c in hollows
    ]
    assert hollows and dye_volume(mirrored, turned).middle_ml == pytest.approx(
        dye_volume(tracts, hollows).middle_ml, rel=5e-3
    )


def test_a_tract_no_wider_than_its_wall_holds_nothing():
    held = dye_volume([tube((0, 0, 0), (0, 40, 0), outer_mm=1.0)], [])
    assert held.middle_ml == held.low_ml == 0 < held.high_ml
    assert "less than 0.1 mL" in held.words


def test_the_figure_to_stop_at_is_rounded_down_and_called_a_ceiling():
    held = dye_volume([], [ball(6.0)], cannula_ml=0.05)
    assert held.stop_at_ml == pytest.approx(0.8 * 4 / 3 * pi * 4.6155**3 / 1000 + 0.05, rel=1e-4)
    assert held.words.startswith("Stop at 0.3 mL") and "never press" in held.words


@pytest.mark.parametrize("change", [{"wall_mm": -1}, {"radius_sd_mm": float("nan")}])
def test_figures_below_nothing_are_refused(change):
    with pytest.raises(InputError, match="0 or more"):
        dye_volume([], [ball(6.0)], **change)


def test_nothing_mapped_is_refused():
    with pytest.raises(InputError, match="Map the disease first"):
        dye_volume([], [])
