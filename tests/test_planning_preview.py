"""Plans moved by hand: what stays, what follows, what is refused, and how sure a figure is."""

from dataclasses import replace

import numpy as np
import pytest
from factory import case, mirrored, tract_map

from crena.planning.compose import search
from crena.planning.measuring import measured_plan
from crena.planning.preview import ground_of, preview
from crena.planning.rhombic_search import DUFOURMENTEL, FREE, LIMBERG, MOVED_CORNER, TIP_30
from crena.records import InputError, Move, MoveKind

ADVANCEMENT = "asymmetric advancement"
FAMILIES = (LIMBERG, MOVED_CORNER, DUFOURMENTEL, TIP_30, FREE, ADVANCEMENT)
LIMITS = case().limits


@pytest.fixture(scope="module")
def ground():
    return ground_of(tract_map(), case().precision, case().seed)


@pytest.fixture(scope="module")
def plans(ground):
    """One plan of each family, the last of its list, as planning itself measures it."""
    families = search(ground.field, LIMITS, ground.anal_verge_mm)
    made = {
        family.family: measured_plan(
            (family, len(family) // 3), ground.field, case(), ground.anal_verge_mm
        )
        for family in families
    }
    return {name: replace(plan, id="A") for name, plan in made.items()}


@pytest.fixture(scope="module")
def moved(plans, ground):
    def look(family, *moves, limits=LIMITS, full=False):
        return preview(plans[family], moves, limits, ground, full=full)

    return look


def put(handle, to, by=(0.0, 0.0)):
    return Move(kind=MoveKind.PLACE, handle=handle, to_mm=tuple(float(v) for v in np.add(to, by)))


def by(seen, handle, step):
    """Return the move of a handle by a step from where it lies."""
    return put(handle, next(h.at_mm for h in seen.handles if h.name == handle), step)


@pytest.mark.parametrize("family", FAMILIES)
def test_an_unmoved_plan_is_what_planning_itself_measured(family, plans, moved):
    plan, seen = plans[family], moved(family, full=True)
    assert (seen.closure.kind, seen.closure.name) == (plan.closure.kind, plan.closure.name)
    assert seen.closure.warnings == plan.closure.warnings
    for name, at in plan.closure.points_mm.items():
        assert np.allclose(seen.closure.points_mm[name], at, atol=1e-7)
    assert np.allclose(seen.excision.outline_mm, plan.excision.outline_mm, atol=1e-7)
    assert [c.wall for c in seen.excision.clearances] == [c.wall for c in plan.excision.clearances]
    for name in ("least_clearance_mm", "depth_mm", "area_mm2"):
        assert getattr(seen.excision, name) == pytest.approx(getattr(plan.excision, name), abs=1e-6)
    for name in (
        "volume_ml",
        "healthy_ml",
    ):  # by triangles and cells: noise of the last digit shows
        assert getattr(seen.excision, name) == pytest.approx(getattr(plan.excision, name), abs=0.01)
    assert seen.excision.chance_clear.chance == pytest.approx(
        plan.excision.chance_clear.chance, abs=1e-6
    )
    assert np.allclose(
        [c.reached for c in seen.limits], [c.reached for c in plan.limits], atol=1e-6
    )
    assert [c.kept for c in seen.limits] == [c.kept for c in plan.limits]
    assert seen.scar.length_mm == pytest.approx(plan.scar.length_mm, abs=1e-6)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_mirrored_move_of_a_mirrored_plan_gives_the_mirrored_preview(family, plans, ground):
    other_ground = ground_of(tract_map_of_mirrored(), case().precision, case().seed)
    seen = preview(plans[family], (), LIMITS, ground, full=True)
    here = [by(seen, "A", (3.0, 2.0)), by(seen, "centre", (-1.0, 2.5))]
    there = [Move(kind=MoveKind.MIRROR), *(put(m.handle, (-m.to_mm[0], m.to_mm[1])) for m in here)]
    left = preview(plans[family], here, LIMITS, ground, full=False)
    right = preview(plans[family], there, LIMITS, other_ground, full=False)
    assert right.closure.donor_side is left.closure.donor_side.other
    for name, (s, y) in left.closure.points_mm.items():
        assert np.allclose(right.closure.points_mm[name], (-s, y), atol=1e-6)
    for one, other in zip(left.excision.clearances, right.excision.clearances, strict=True):
        assert (one.part, one.wall) == (other.part, other.wall)
        assert one.least_mm == pytest.approx(other.least_mm, abs=1e-6)
    assert np.allclose([c.reached for c in left.limits], [c.reached for c in right.limits])


def tract_map_of_mirrored():
    return tract_map(**{k: getattr(mirrored(case()), k) for k in ("pits", "probings")})


@pytest.mark.parametrize("family", FAMILIES)
def test_every_handle_goes_where_it_is_put_or_as_near_as_its_construction_allows(family, moved):
    before = moved(family)
    for handle in before.handles:
        step = (1.0, 0.5) if handle.name in "ABC" else (-0.5, 1.0)
        after = moved(family, by(before, handle.name, step))
        here = next(h.at_mm for h in after.handles if h.name == handle.name)
        off, back = np.subtract(here, handle.at_mm), np.add(handle.at_mm, step)
        assert 0 < np.hypot(*off) <= np.hypot(*step) + 0.3
        assert np.hypot(*np.subtract(here, back)) < np.hypot(*step)
        assert after.handles != before.handles


@pytest.mark.parametrize("family", [LIMBERG, TIP_30])
@pytest.mark.parametrize("corner", "ABCD")
def test_a_fixed_angle_stays_and_so_does_the_opposite_corner(family, corner, moved):
    before = moved(family)
    after = moved(family, by(before, corner, (4.0, -3.0)))
    opposite = {"A": "C", "B": "D", "C": "A", "D": "B"}[corner]
    ends = before.closure.points_mm[opposite], after.closure.points_mm[opposite]
    assert np.allclose(*ends, atol=1e-9)
    assert after.closure.kind is before.closure.kind
    assert acute_deg(after) == pytest.approx(60.0, abs=1e-6)


def acute_deg(seen):
    return next(p.value for p in seen.closure.parameters if p.name == "acute angle")


def test_a_wider_dufourmentel_keeps_its_rule(moved):
    before = moved(DUFOURMENTEL)
    after = moved(DUFOURMENTEL, by(before, *outward(before, "B", 4.0)))
    known = {p.name: p.value for p in after.closure.parameters}
    assert known["acute angle"] > acute_deg(before) + 1
    assert known["tip angle"] == pytest.approx(45 + known["acute angle"] / 4)
    assert after.closure.kind is before.closure.kind


def outward(seen, corner, by_mm):
    """Return a corner and a step away from the centre."""
    at = {h.name: np.array(h.at_mm) for h in seen.handles}
    way = at[corner] - at["centre"]
    return corner, by_mm * way / np.linalg.norm(way)


def test_a_turned_limb_makes_free_angles_of_a_limberg_flap_and_says_so(moved):
    before = moved(LIMBERG)
    after = moved(LIMBERG, by(before, "F", turned_about(before, "E", "F", 6.0)))
    assert before.closure.kind == "Limberg"
    assert after.closure.kind == "rhombic, free angles"
    assert any("no published series" in warning for warning in after.closure.warnings)


def turned_about(seen, pivot, name, angle_deg):
    """Return the step of a corner that is turned about another so that the tip stays in range."""
    p, q = (np.array(seen.closure.points_mm[n]) for n in (pivot, name))
    steps = []
    for sign in (-1, 1):
        t = np.radians(sign * angle_deg)
        turn = np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
        steps.append(p + turn @ (q - p) - q)
    return min(
        steps, key=lambda step: float(np.linalg.norm(q + step - seen.closure.points_mm["C"]))
    )


def test_only_the_lower_corner_of_a_moved_corner_plan_is_shifted(moved):
    before = moved(MOVED_CORNER)
    low = min(before.excision.outline.corners, key=lambda c: c.at_mm[1]).name
    after = moved(MOVED_CORNER, by(before, low, (2.0, 0.0)))
    for name in set("ABCD") - {low}:
        ends = before.closure.points_mm[name], after.closure.points_mm[name]
        assert np.allclose(*ends, atol=1e-9)
    assert after.closure.name.startswith(MOVED_CORNER)


def test_moves_in_order_are_one_change_and_the_last_place_of_a_handle_counts(moved):
    before = moved(FREE)
    far, near = by(before, "A", (6.0, 6.0)), by(before, "A", (1.0, -2.0))
    assert moved(FREE, far, near).closure == moved(FREE, near).closure


def test_a_cut_fitted_to_its_margin_keeps_it_by_less_than_two_millimetres(moved):
    for family in (LIMBERG, FREE, ADVANCEMENT):
        large = by(moved(family), "A", (0.0, 15.0 if at_top(moved(family)) else -15.0))
        for limits in (LIMITS, replace(LIMITS, drawn_margin_mm=12.0)):
            seen = moved(family, large, Move(kind=MoveKind.REFIT), limits=limits)
            assert limits.drawn_margin_mm - 0.05 <= seen.excision.least_wall_clearance_mm
            assert seen.excision.least_wall_clearance_mm <= limits.drawn_margin_mm + 2.0


def at_top(seen):
    at = seen.closure.points_mm
    return at["A"][1] > at["C"][1]


def test_disease_outside_the_cut_has_no_clearance_and_is_named(moved):
    seen = moved(FREE, by(moved(FREE), "centre", (0.0, 120.0)))
    assert set(seen.cut_through) == {c.part for c in seen.excision.clearances}
    assert seen.excision.least_wall_clearance_mm < -20
    assert seen.excision.chance_clear.chance < 1e-6
    check = next(c for c in seen.limits if c.limit.startswith("margin"))
    assert not check.kept


def test_a_wall_through_the_disease_is_named(moved, plans):
    pit = tract_map().pits[0].at_mm
    before = moved(LIMBERG)
    corner = max("ABCD", key=lambda n: -abs(before.closure.points_mm[n][1] - pit[1]))
    step = np.subtract(pit, before.closure.points_mm[corner])
    seen = moved(LIMBERG, put("centre", next(h.at_mm for h in before.handles if h.name == "centre"),
                              step))  # fmt: skip
    assert "pit 1" in seen.cut_through


def test_a_few_errors_give_nearly_the_chance_of_all(moved):
    for family in FAMILIES:
        before = moved(family)
        for step in [(0.0, 0.0), (2.0, 1.0), (-3.0, 2.0), (1.0, -4.0)]:
            move = by(before, "centre", step)
            few, every = (moved(family, move, full=full).excision.chance_clear for full in (0, 1))
            assert abs(few.chance - every.chance) < 0.03


REFUSED = [
    (LIMBERG, "A", "towards C", r"The side would be \d+\.\d mm; 15 to 120 mm"),
    (LIMBERG, "A", "away", r"The side would be \d+\.\d mm; 15 to 120 mm"),
    (FREE, "B", "wide", r"The acute angle would be \d+\.\d°; 60 to 90°"),
    (FREE, "F", "far round", r"The tip angle would be -?\d+\.\d°; 30 to 75°"),
    (ADVANCEMENT, "A", "across", "end would lie 5 mm across the midline; both ends"),
    (ADVANCEMENT, "M", "in", "would bulge by .* mm; at least 4 mm"),
    (ADVANCEMENT, "M", "out", "times as long as wide; at least 2"),
    (ADVANCEMENT, "C", "above", "the upper end above the lower"),
]


@pytest.mark.parametrize(("family", "handle", "where", "sentence"), REFUSED)
def test_what_cannot_be_drawn_is_refused_with_its_measure(family, handle, where, sentence, moved):
    before = moved(family)
    at = {h.name: np.array(h.at_mm) for h in before.handles}
    places = {
        "towards C": lambda: at["C"] + 0.1 * (at["A"] - at["C"]),
        "away": lambda: at["centre"] + 4 * (at[handle] - at["centre"]),
        "wide": lambda: at["centre"] + 2 * (at[handle] - at["centre"]),
        "far round": lambda: 2 * at["E"] - at["F"],
        "across": lambda: np.array([-5.0 * np.sign(at["A"][0]), at["A"][1]]),
        "in": lambda: at["centre"] + 0.01 * (at["M"] - at["centre"]),
        "out": lambda: at["centre"] + 3 * (at["M"] - at["centre"]),
        "above": lambda: at["A"] + [0.0, 60.0],
    }
    with pytest.raises(InputError, match=sentence):
        moved(family, put(handle, places[where]()))


def test_a_flap_across_the_midline_is_refused(moved):
    before = moved(LIMBERG)
    side = before.closure.donor_side
    with pytest.raises(
        InputError, match=rf"Corner [EF] .* across the midline; a flap from the {side}"
    ):
        moved(LIMBERG, by(before, "centre", (-100.0 * side.sign, 0.0)))


def test_odd_moves_are_refused(moved):
    odd = [
        (put("Q", (0.0, 0.0)), "no handle 'Q'"),
        (Move(kind=MoveKind.PLACE, handle="A"), "to which place"),
        (put("A", (1e308, 1e308)), "more than 300 mm"),
        (put("A", (np.nan, 0.0)), "more than 300 mm"),
    ]
    for move, sentence in odd:
        for family in (LIMBERG, ADVANCEMENT):
            with pytest.raises(InputError, match=sentence):
                moved(family, move)
    with pytest.raises(InputError, match="other hinge"):
        moved(ADVANCEMENT, Move(kind=MoveKind.OTHER_HINGE))
    with pytest.raises(InputError, match="501 moves"):
        moved(LIMBERG, *[put("A", (0.0, 60.0))] * 501)


def test_a_broken_limit_is_shown_with_what_it_reaches(moved):
    before = moved(FREE)
    seen = moved(FREE, by(before, "centre", (-before.scar.lower_end_mm[0], 0.0)))
    lower = next(c for c in seen.limits if c.limit.startswith("lower end"))
    assert (lower.kept, round(lower.reached, 3), lower.hard) == (False, 0.0, True)
    asked = replace(LIMITS, lower_end_midline_mm=0.0)
    easy = moved(FREE, by(before, "centre", (-before.scar.lower_end_mm[0], 0.0)), limits=asked)
    assert next(c for c in easy.limits if c.limit.startswith("lower end")).kept
