"""Plans: limits kept, mirrored and rotated cases, refusals, and why there is none."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored, tract_map
from scipy.spatial import ConvexHull

from crena.geometry.lines import signed_distances_mm
from crena.planning.compose import plan_case
from crena.records import (
    AcuteSigns,
    Answer,
    BodyEntry,
    Choice,
    ClosureKind,
    Drugs,
    InputError,
    Limits,
    NoPlanError,
    NotNowError,
    PitEntry,
    Probing,
    Side,
)
from crena.sinus.mapping import map_from_probing


def planned(plain):
    return plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY)


@pytest.fixture(scope="module")
def plans():
    return planned(case())


def test_three_to_five_plans_of_different_kind(plans):
    names = [(p.closure.name, p.closure.donor_side) for p in plans.plans]
    assert 3 <= len(names) == len(set(names)) <= 5
    assert [p.id for p in plans.plans] == list("ABCDE"[: len(names)])


def test_every_plan_keeps_every_limit(plans):
    assert all(c.kept for plan in plans.plans for c in plan.limits if c.hard)
    for plan in plans.plans:
        assert plan.scar.lower_end_midline_mm >= 20 - 1e-6
        assert plan.excision.least_wall_clearance_mm >= 7 - 0.05


def test_every_plan_says_what_it_is_best_at(plans):
    assert all(plan.best_at.endswith(".") for plan in plans.plans)
    assert "no clear best" in plans.order


def test_no_disease_lies_outside_a_drawn_outline(plans):
    pits = np.array([p.at_mm for p in plans.tract_map.pits])
    for plan in plans.plans:
        hull = ConvexHull(np.array(plan.excision.outline_mm)).equations
        assert (pits @ hull[:, :2].T + hull[:, 2]).max() <= -5


def test_sides_are_whole_millimetres(plans):
    for plan in plans.plans:
        side = [p.value for p in plan.closure.parameters if p.name == "side"]
        assert all(abs(s - round(s)) < 1e-6 for s in side)


def test_mirrored_case_gives_the_mirrored_plans_with_the_sides_swapped(plans):
    other = planned(mirrored(case()))
    assert len(other.plans) == len(plans.plans)
    for p, q in zip(plans.plans, other.plans, strict=True):
        assert q.closure.donor_side is p.closure.donor_side.other
        assert q.closure.name == p.closure.name
        assert sorted(np.round(np.array(q.excision.outline_mm) * [-1, 1], 3).tolist()) == sorted(
            np.round(np.array(p.excision.outline_mm), 3).tolist()
        )


def test_order_of_pits_and_tracts_does_not_matter(plans):
    plain = case()
    turned = replace(plain, pits=plain.pits[::-1], probings=plain.probings[::-1])
    for p, q in zip(plans.plans, planned(turned).plans, strict=True):
        assert p.closure == q.closure


def test_disease_further_up_moves_the_plan_up(plans):
    plain = case()
    raised = replace(
        plain,
        pits=tuple(replace(p, above_coccyx_tip_mm=p.above_coccyx_tip_mm + 20) for p in plain.pits),
        limits=replace(plain.limits, anal_verge_mm=45.0),
        body=plain.body,
    )
    same = {p.closure.name: p for p in planned(raised).plans}
    for plan in plans.plans:
        if plan.closure.name in same:
            moved = np.array(same[plan.closure.name].excision.outline_mm) - [0, 20]
            assert np.abs(moved - np.array(plan.excision.outline_mm)).max() < 1.5


def test_flap_comes_only_from_the_side_asked_for():
    limits = replace(case().limits, flap_from=Side.LEFT)
    assert {p.closure.donor_side for p in planned(case(limits=limits)).plans} == {Side.LEFT}


def test_comparators_carry_their_published_warning_s3_2020(plans):
    kinds = {c.closure.kind: c.warning for c in plans.comparators}
    assert set(kinds) == {ClosureKind.MIDLINE, ClosureKind.OPEN}
    assert "obsolete (German S3 guideline, 2020 update)" in kinds[ClosureKind.MIDLINE]


def test_kinds_that_are_not_shown_are_refused_with_a_reason(plans):
    assert any("obsolete" in r.reason for r in plans.refused)
    assert all(len(r.reason) > 20 for r in plans.refused)


def test_chosen_plan_is_the_one_that_is_drawn():
    chosen = planned(case(choice=Choice(plan="b")))
    assert chosen.chosen == "B" and chosen.chosen_by_surgeon
    assert chosen.excision == chosen.plans[1].excision


def test_choice_of_a_plan_that_is_not_there_is_refused():
    with pytest.raises(InputError, match="the plans are A, B"):
        planned(case(choice=Choice(plan="Z")))


def test_choice_among_other_plans_is_refused():
    with pytest.raises(InputError, match="choose again"):
        planned(case(choice=Choice(plan="B", code="C123456")))


def test_margin_smaller_than_the_clearance_asked_for_is_refused():
    limits = Limits(drawn_margin_mm=3.0, least_clearance_mm=4.0)
    with pytest.raises(InputError, match="smaller than the clearance"):
        planned(case(limits=limits))


def test_anal_verge_inside_a_flap_or_the_wound_is_never_a_plan():
    pits = (PitEntry(name="1", above_coccyx_tip_mm=13.0),)
    probings = (
        Probing(tract="T1", pit="1", length_mm=27.0, tip_depth_mm=9.0, from_cranial_deg=103.0,
                side=Side.LEFT),
    )  # fmt: skip
    body = BodyEntry(anal_verge_below_coccyx_tip_mm=40.0, cleft_depth_mm=12.0)
    plans = planned(case(pits=pits, probings=probings, body=body)).plans
    for plan in plans:
        for area in (plan.closure.removed_mm, *(f.outline_mm for f in plan.closure.flaps)):
            assert signed_distances_mm((0.0, -40.0), np.array([area]))[0] >= 25 - 1e-6


def test_old_findings_and_drugs_are_cautions_on_the_sheet():
    findings = replace(
        case().findings, seen_on=date(2026, 10, 1), drugs=Drugs(anticoagulant=Answer.YES)
    )
    said = " ".join(planned(case(findings=findings)).cautions)
    assert "Seen 55 days ago" in said and "anticoagulant" in said and "Not asked" in said


@pytest.mark.parametrize("answer", [Answer.YES, Answer.NOT_ASKED])
def test_no_plan_in_or_perhaps_in_the_acute_stage_s3_2020(answer):
    findings = replace(case().findings, acute_signs=AcuteSigns(pus_under_pressure=answer))
    with pytest.raises(NotNowError, match="S3 guideline, 2020"):
        planned(case(findings=findings))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"lower_end_midline_mm": 60.0, "anal_verge_mm": 60.0}, "would have to give"),
        ({"base_to_length_ratio": 2.9}, "edicle over flap length"),
    ],
)
def test_no_plan_names_the_limits_that_bind_and_by_how_much(change, words):
    with pytest.raises(NoPlanError, match=words):
        planned(case(limits=replace(Limits(drawn_margin_mm=7.0), **change)))


def test_same_case_gives_the_same_plans(plans):
    assert planned(case()) == plans


def test_progress_names_each_step_and_may_cancel():
    steps = []
    plan_case(
        case(), tract_map(), PROVENANCE, today=TODAY, progress=lambda s, share: steps.append(share)
    )
    assert steps == sorted(steps) and len(steps) >= 4
