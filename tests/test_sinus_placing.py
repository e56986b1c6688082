"""A place that was pointed at and the entries that say it are one."""

from dataclasses import replace

import factory
import pytest

from crena.geometry.unrolling import skin_map
from crena.planning.readiness import known_map
from crena.records import BodyEntry, InputError, PitEntry, Side
from crena.sinus.placing import pit_at, tip_at, verge_at
from crena.sinus.probing import entered_skin


def skin(**measures):
    return skin_map(entered_skin(BodyEntry(**measures)))


@pytest.mark.parametrize("case", [factory.case(), factory.mirrored(factory.case())])
def test_the_drawn_tip_gives_back_the_entries_it_was_drawn_from(case):
    found = known_map(case, factory.TODAY)
    for probe, probing in zip(found.probes, case.probings, strict=True):
        pit = next(pit for pit in case.pits if pit.name == probing.pit)
        ground = skin_map(entered_skin(case.body))
        tip = tip_at(probe.tip_mm, pit, probing.tip_depth_mm, ground)
        assert (tip.length_mm, tip.from_cranial_deg, tip.side) == (
            probing.length_mm, probing.from_cranial_deg, probing.side,
        )  # fmt: skip


@pytest.mark.parametrize("place", [(-4.0, 26.5), (0.0, -3.0), (12.5, 31.0)])
def test_a_placed_pit_lies_where_it_was_placed(place):
    placed = pit_at(place)
    entry = PitEntry(
        name="1",
        above_coccyx_tip_mm=placed.above_coccyx_tip_mm,
        off_midline_mm=placed.off_midline_mm,
        side=placed.side,
    )
    case = factory.case(pits=(entry,), probings=())
    assert known_map(case, factory.TODAY).pits[0].at_mm == place


def test_a_pit_a_hair_off_the_midline_lies_in_it():
    assert (pit_at((0.2, 20.0)).off_midline_mm, pit_at((0.2, 20.0)).side) == (0.0, None)
    assert pit_at((0.3, 20.0)).side is Side.RIGHT


@pytest.mark.parametrize(("along_mm", "turned_deg"), [(50.0, 0), (-26.0, 180)])
def test_a_probe_along_the_midline_has_no_side(along_mm, turned_deg):
    pit = PitEntry(name="1", above_coccyx_tip_mm=10.0)
    tip = tip_at((0.0, along_mm), pit, 8.0, skin())
    assert (tip.from_cranial_deg, tip.side) == (turned_deg, None)


def test_on_flat_skin_the_length_is_that_of_a_right_triangle():
    pit = PitEntry(name="1", above_coccyx_tip_mm=10.0)
    tip = tip_at((-12.0, 26.0), pit, 15.0, skin(cleft_depth_mm=0.0))
    assert (tip.length_mm, tip.side) == (25.0, Side.LEFT)
    assert tip.from_cranial_deg == pytest.approx(36.87, abs=0.5)


def test_a_tip_too_near_for_its_depth_is_refused_with_what_to_do():
    pit = PitEntry(name="1", above_coccyx_tip_mm=10.0)
    with pytest.raises(InputError, match="farther from the pit"):
        tip_at((0.5, 10.5), pit, 15.0, skin(cleft_depth_mm=0.0))


def test_a_pit_without_its_side_is_refused():
    pit = replace(factory.case().pits[1], side=None)
    with pytest.raises(InputError, match="which side"):
        tip_at((10.0, 40.0), pit, 5.0, skin())


def test_the_anal_verge_stays_in_the_midline():
    assert verge_at((9.0, -38.2)).anal_verge_below_coccyx_tip_mm == 38.0
