"""New plans in theatre: for the hole as it really is, and a branch that nobody knew of."""

from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored

from crena.flaps import advancement
from crena.geometry.lenses import Lens
from crena.geometry.lines import signed_distances_mm
from crena.geometry.measures import polygon_area_mm2
from crena.mechanics.ensemble import SkinGuesses
from crena.mechanics.material import ASSUMED_SKIN
from crena.planning.compose import plan_case, with_figures
from crena.planning.pull import Simulation
from crena.planning.theatre import (
    SIZE_ALONE,
    WHAT_IS_LEFT,
    corners_as_planned,
    plan_in_theatre,
    plan_that_was_cut,
)
from crena.planning.wounds import corners_found, hole_size_mm, letters_round
from crena.records import (
    Choice,
    ClosureKind,
    InputError,
    NoPlanError,
    OperationRecord,
    Probing,
    Side,
)
from crena.sinus.mapping import map_from_probing


def planned(plain):
    return plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY)


CASE = case(choice=Choice(plan="A"))


@pytest.fixture(scope="module")
def plans():
    return planned(case())


def replanned(plans, corners, plain=CASE, **found):
    operation = OperationRecord(operated_on=TODAY, measured=tuple(corners), **found)
    return plan_in_theatre(replace(plain, operation=operation), plans, PROVENANCE, today=TODAY)


def replanned_by_size(plans, length_mm, width_mm, plain=CASE):
    return replanned(
        plans, (), plain, hole_length_mm=float(length_mm), hole_width_mm=float(width_mm)
    )


def as_cut(plans, letter="A"):
    return next(plan for plan in plans.plans if plan.id == letter)


def wider(corners, mm):
    return [replace(c, off_midline_mm=c.off_midline_mm + mm) for c in corners]


def outline(plan):
    return np.array(plan.closure.removed_mm)


def size_mm2(plan):
    return abs(polygon_area_mm2(plan.closure.removed_mm))


def corners_around(measured):
    order = "ALCM" if {"L", "M"} & {c.name for c in measured} else "ABCD"
    by_name = {c.name: c.at_mm for c in measured}
    return np.array([by_name[name] for name in order])


def test_the_hole_as_planned_gives_the_planned_closure_again_first(plans):
    for cut in plans.plans:
        plain = case(choice=Choice(plan=cut.id))
        again = replanned(plans, corners_as_planned(cut), plain).plans[0]
        assert again.closure.kind is cut.closure.kind
        assert again.closure.donor_side is cut.closure.donor_side
        assert again.recut.more_mm2 == 0
        for name, at in cut.closure.points_mm.items():
            assert np.hypot(*np.subtract(again.closure.points_mm[name], at)) < 3, name


def test_a_lens_as_planned_gives_the_planned_advancement_again_first(plans):
    lens = Lens(
        cranial_pole_mm=(-24.0, 76.0),
        caudal_pole_mm=(-22.0, -14.0),
        left_sagitta_mm=14.0,
        right_sagitta_mm=46.0,
    )
    cut = replace(as_cut(plans), closure=advancement.close(lens, Side.LEFT))
    plain = case(choice=Choice(plan="A"), limits=replace(CASE.limits, edge_mismatch_mm=60.0))
    made = replanned(replace(plans, plans=(cut,)), corners_as_planned(cut), plain)
    again = made.plans[0].closure
    assert (again.kind, again.donor_side) == (ClosureKind.ADVANCEMENT, Side.RIGHT)
    for name, at in cut.closure.points_mm.items():
        assert np.hypot(*np.subtract(again.points_mm[name], at)) < 2.5, name


def test_every_new_plan_holds_the_whole_hole_and_keeps_every_limit(plans):
    corners = wider(corners_as_planned(as_cut(plans)), 4)
    made = replanned(plans, corners)
    assert len(made.plans) >= 3
    for plan in made.plans:
        outside = [signed_distances_mm(c.at_mm, outline(plan)[None])[0] for c in corners]
        assert max(outside) <= 1e-6
        assert all(check.kept for check in plan.limits if check.hard)


def test_a_larger_hole_never_gives_a_smaller_one(plans):
    corners = corners_as_planned(as_cut(plans))
    holes = [wider(corners, mm) for mm in (0, 3, 6)]
    least = [min(size_mm2(plan) for plan in replanned(plans, hole).plans) for hole in holes]
    real = [abs(polygon_area_mm2(corners_around(hole))) for hole in holes]
    assert least[0] < least[1] < least[2]
    assert all(found >= hole - 1e-6 for found, hole in zip(least, real, strict=True))


def test_what_must_still_be_cut_is_the_difference_of_both_holes(plans):
    corners = wider(corners_as_planned(as_cut(plans)), 4)
    hole_mm2 = abs(polygon_area_mm2(corners_around(corners)))
    made = replanned(plans, corners)
    for plan in made.plans:
        assert plan.recut.more_mm2 == pytest.approx(max(size_mm2(plan) - hole_mm2, 0), abs=1)
        assert (plan.recut.furthest_mm > 0) == (plan.recut.more_mm2 > 0)
    assert any("Skin taken" in words for words in made.plans[0].recut.changed)


def test_a_mirrored_hole_gives_the_mirrored_plans(plans):
    corners = wider(corners_as_planned(as_cut(plans)), 3)
    other = [replace(c, side=c.side.other if c.side else None) for c in corners]
    here = replanned(plans, corners)
    there = replanned(planned(mirrored(case())), other, mirrored(CASE))
    assert len(here.plans) == len(there.plans)
    for p, q in zip(here.plans, there.plans, strict=True):
        assert q.closure.donor_side is p.closure.donor_side.other
        assert q.closure.name == p.closure.name
        flipped = np.round(outline(q) * [-1, 1], 3).tolist()
        assert sorted(flipped) == sorted(np.round(outline(p), 3).tolist())


@pytest.mark.parametrize(("longer", "wider"), [(0.0, 0.0), (6.0, 0.0), (0.0, 8.0), (5.0, -2.0)])
def test_by_length_and_width_the_hole_has_both_about_the_planned_middle(plans, longer, wider):
    for cut in plans.plans:
        length, width = np.add(hole_size_mm(cut.closure), (longer, wider))
        found = OperationRecord(
            operated_on=TODAY, hole_length_mm=float(length), hole_width_mm=float(width)
        )
        ring = corners_around(corners_found(found, cut.closure))
        before = np.array([cut.closure.points_mm[n] for n in letters_round(cut.closure)])
        assert np.linalg.norm(ring[2] - ring[0]) == pytest.approx(length)
        assert np.linalg.norm(ring[3] - ring[1]) == pytest.approx(width)
        assert ring[0] + ring[2] == pytest.approx(before[0] + before[2])
        turn = np.linalg.det([ring[2] - ring[0], before[2] - before[0]])
        assert turn == pytest.approx(0.0, abs=1e-6)


def test_by_its_planned_size_the_hole_gives_the_planned_closure_and_says_what_is_taken(plans):
    again = replanned_by_size(plans, *hole_size_mm(as_cut(plans).closure))
    assert again.plans[0].closure.kind is as_cut(plans).closure.kind
    assert again.plans[0].recut.more_mm2 == 0
    assert SIZE_ALONE in again.cautions
    assert SIZE_ALONE not in replanned(plans, corners_as_planned(as_cut(plans))).cautions


def test_a_wider_hole_by_its_size_is_held_by_every_plan(plans):
    cut = as_cut(plans)
    length, width = hole_size_mm(cut.closure)
    found = OperationRecord(operated_on=TODAY, hole_length_mm=length + 3, hole_width_mm=width + 6)
    hole = corners_around(corners_found(found, cut.closure))
    for plan in replanned_by_size(plans, length + 3, width + 6).plans:
        outside = [signed_distances_mm(corner, outline(plan)[None])[0] for corner in hole]
        assert max(outside) <= 1e-6


@pytest.mark.parametrize("shares", [(0.6, 1.0), (1.0, 0.6)])
def test_a_hole_much_smaller_than_planned_is_not_believed(plans, shares):
    length, width = np.multiply(hole_size_mm(as_cut(plans).closure), shares)
    with pytest.raises(InputError, match="open skin gapes"):
        replanned_by_size(plans, length, width)


def test_largest_measures_of_the_record_are_no_size_of_the_hole(plans):
    found = OperationRecord(operated_on=TODAY, defect_length_mm=54.0, defect_width_mm=55.0)
    assert corners_found(found, as_cut(plans).closure) == ()


def test_measured_corners_count_before_length_and_width(plans):
    corners = corners_as_planned(as_cut(plans))
    found = OperationRecord(
        operated_on=TODAY, measured=corners, hole_length_mm=90.0, hole_width_mm=70.0
    )
    assert corners_found(found, as_cut(plans).closure) == corners


def test_a_hole_too_narrow_for_its_length_is_refused(plans):
    slanted = replace(
        as_cut(plans).closure,
        points_mm={"A": (0.0, 50.0), "B": (-20.0, 45.0), "C": (0.0, 0.0), "D": (20.0, 5.0)},
    )
    found = OperationRecord(operated_on=TODAY, hole_length_mm=50.0, hole_width_mm=39.9)
    with pytest.raises(InputError, match="50 mm long is more than 40 mm wide"):
        corners_found(found, slanted)


def test_a_new_branch_is_cleared_by_the_drawn_margin(plans):
    branch = Probing(
        tract="T9", pit="2", length_mm=38.0, tip_depth_mm=6.0, from_cranial_deg=80.0,
        side=Side.RIGHT,
    )  # fmt: skip
    made = replanned(plans, corners_as_planned(as_cut(plans)), branches=(branch,))
    assert [t.name for t in made.tract_map.tracts][-1] == "T9"
    for plan in made.plans:
        of_branch = next(c for c in plan.excision.clearances if c.part == "T9")
        assert of_branch.least_mm >= CASE.limits.drawn_margin_mm - 0.1
        assert plan.recut.more_mm2 > 100


def test_a_deeper_hole_lowers_the_floor_by_as_much(plans):
    cut = as_cut(plans)
    deep = cut.excision.depth_mm + 6
    made = replanned(plans, corners_as_planned(cut), defect_depth_mm=deep)
    assert made.plans[0].excision.depth_mm == pytest.approx(deep, abs=0.5)
    assert made.plans[0].excision.volume_ml > cut.excision.volume_ml


def test_a_hole_that_no_flap_closes_says_which_limits_bind_and_what_is_left(plans):
    corners = corners_as_planned(as_cut(plans))
    lowest = min(c.above_coccyx_tip_mm for c in corners)
    hole = [
        replace(c, above_coccyx_tip_mm=c.above_coccyx_tip_mm - 60, off_midline_mm=2.0)
        if c.above_coccyx_tip_mm == lowest
        else c
        for c in corners
    ]
    with pytest.raises(NoPlanError, match="anal verge") as refused:
        replanned(plans, hole)
    assert WHAT_IS_LEFT in str(refused.value)


def test_corners_on_a_wrong_side_are_refused(plans):
    corners = list(corners_as_planned(as_cut(plans)))
    widest = max(range(4), key=lambda n: corners[n].off_midline_mm)
    corners[widest] = replace(corners[widest], side=corners[widest].side.other)
    with pytest.raises(InputError, match="do not go round"):
        replanned(plans, corners)


def test_a_corner_without_its_side_is_asked_for(plans):
    corners = [replace(c, side=None) for c in corners_as_planned(as_cut(plans))]
    with pytest.raises(InputError, match="say to which side"):
        replanned(plans, corners)


def test_a_missing_corner_is_named(plans):
    with pytest.raises(InputError, match="A, B, C, D"):
        replanned(plans, corners_as_planned(as_cut(plans))[:3])


def test_nothing_measured_is_said(plans):
    with pytest.raises(InputError, match="Measure the hole first"):
        replanned(plans, ())


def test_a_branch_with_a_name_that_is_taken_is_refused(plans):
    branch = Probing(tract="T1", pit="1", length_mm=9, tip_depth_mm=4, from_cranial_deg=0)
    with pytest.raises(InputError, match="tract T1 on the map already"):
        replanned(plans, corners_as_planned(as_cut(plans)), branches=(branch,))


def test_the_pull_comes_later_and_leaves_every_letter_where_it_is(plans):
    made = replanned(plans, corners_as_planned(as_cut(plans)))
    assert all(plan.mechanics is None and plan.filling is None for plan in made.plans)
    skins = SkinGuesses(middle=ASSUMED_SKIN, ensemble=(ASSUMED_SKIN,) * 2, axis_sd_deg=5.0)
    full = with_figures(made, CASE, Simulation(skins=skins))
    for before, after in zip(made.plans, full.plans, strict=True):
        assert after.closure == before.closure and after.id == before.id
        assert after.recut == before.recut
        assert after.mechanics is not None and after.filling is not None


def test_the_plan_that_was_cut_is_the_one_chosen(plans):
    assert plan_that_was_cut(case(choice=Choice(plan="B")), plans).id == "B"
    assert plan_that_was_cut(case(), plans).id == plans.chosen
