"""What is known before a plan: the map, the gate, and each thing that is missing."""

from dataclasses import replace
from datetime import timedelta

import factory
import pytest

from crena.planning.readiness import ScannedMap, known_map
from crena.records import AcuteSigns, Answer, Findings, Limits, Side
from crena.sinus.mapping import map_from_probing


def known(case, **more):
    return known_map(case, factory.TODAY, **more)


def codes(case, **more):
    return [(each.code, each.place) for each in known(case, **more).missing]


def test_a_whole_case_has_its_map_and_nothing_is_missing():
    case = factory.case()
    found = known(case, number=7)
    assert found.tract_map == map_from_probing(case)
    assert (found.number, found.sentence, found.missing, found.old) == (7, "", (), False)
    assert found.timing.ready


def test_a_probe_is_placed_on_the_side_it_was_turned_to_and_under_its_skin():
    found = known(factory.case())
    left, right = found.probes
    assert left.from_mm == (0.0, 14.0) and left.tip_mm[0] < -5
    assert right.tip_mm[0] > 1.5 and right.probing == 1
    assert found.anal_verge_mm == (0.0, -42.0)


def test_mirrored_entries_give_mirrored_places():
    case = factory.case()
    here, there = known(case), known(factory.mirrored(case))
    for one, other in zip(here.probes, there.probes, strict=True):
        assert other.tip_mm == pytest.approx((-one.tip_mm[0], one.tip_mm[1]))


def test_an_empty_case_says_what_to_enter_and_why_there_is_no_map():
    empty = factory.case(pits=(), probings=(), findings=Findings(seen_on=factory.TODAY))
    assert codes(empty) == [("no_pit", "pits"), ("signs_not_asked", "findings.acute_signs.redness")]
    assert known(empty).tract_map is None
    assert "Enter at least one" in known(empty).sentence


def test_an_acute_sign_says_not_now_and_when_to_look_again():
    signs = replace(factory.CALM, warmth=Answer.YES)
    case = factory.case()
    hot = replace(case, findings=replace(case.findings, acute_signs=signs))
    found = known(hot)
    assert not found.timing.ready
    assert found.timing.recheck_on == case.findings.seen_on + timedelta(days=42)
    assert codes(hot) == [("acute", "findings.acute_signs.warmth")]
    assert found.tract_map is not None


def test_only_the_open_questions_are_asked_for():
    signs = replace(factory.CALM, fever=Answer.NOT_ASKED)
    case = factory.case()
    open_case = replace(case, findings=replace(case.findings, acute_signs=signs))
    assert codes(open_case) == [("signs_not_asked", "findings.acute_signs.fever")]


def test_a_day_to_come_is_said_and_breaks_nothing():
    case = factory.case()
    late = replace(case.findings, seen_on=factory.TODAY + timedelta(days=1))
    hot = replace(late, acute_signs=AcuteSigns(redness=Answer.YES))
    for findings in (late, hot):
        assert codes(replace(case, findings=findings)) == [("seen_later", "findings.seen_on")]


def test_what_cannot_be_placed_is_named_and_the_rest_is_still_placed():
    case = factory.case()
    first, second = case.probings
    wrong = replace(case, probings=(replace(first, tip_depth_mm=30.0), second))
    found = known(wrong)
    assert found.tract_map is None and "Check both figures" in found.sentence
    assert [probe.tract for probe in found.probes] == ["T2"]
    assert codes(wrong) == [("entry", "probings.0")]


def test_a_pit_off_the_midline_without_a_side_is_asked_for_it():
    case = factory.case()
    lost = replace(case, pits=(case.pits[0], replace(case.pits[1], side=None)))
    found = known(lost)
    assert codes(lost) == [("entry", "pits.1")]
    assert [pit.name for pit in found.pits] == ["1"]


def test_two_pits_of_one_name_are_refused_as_a_whole():
    case = factory.case()
    twins = replace(case, pits=(case.pits[0], replace(case.pits[1], name="1", side=Side.LEFT)))
    assert codes(twins)[0] == ("entry", "pits")


def test_a_margin_below_the_clearance_asked_for_is_said():
    case = factory.case(limits=Limits(drawn_margin_mm=4.0, least_clearance_mm=5.0))
    assert codes(case) == [("narrow_margin", "limits.drawn_margin_mm")]


def test_a_scan_needs_clicks_and_its_map_counts_until_the_case_changes():
    case = factory.case()
    assert codes(case, scanned=ScannedMap(tract_map=None, old=False)) == [("no_clicks", "clicks")]
    stored = replace(map_from_probing(case), notes=("From the scan.",))
    found = known(case, scanned=ScannedMap(tract_map=stored, old=True))
    assert found.tract_map == stored and found.old
