"""From a plan and what was recorded to everything that the healing sheets say."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from factory import PROVENANCE, TODAY, case

from crena.app.demonstration_operation import operated_case
from crena.geometry.measures import polyline_length_mm
from crena.planning.aftercare import healing_plan
from crena.planning.compose import plan_case
from crena.records import (
    Answer,
    DateRule,
    DrainCourse,
    DrainReading,
    InputError,
    LayerDone,
    Mechanics,
    OwnDay,
    PatientLabel,
    ScheduleSettings,
    SeamPull,
    SittingPull,
)
from crena.sinus.mapping import map_from_probing
from crena.store.tables import suture_tables

TABLES = suture_tables()
DAY_0 = date(2026, 12, 1)


def pulled(plan):
    """Return a plan with an invented pull: the donor seam hardest."""
    lengths = {s.name: polyline_length_mm(s.fixed_mm) for s in plan.closure.seams}
    forces = tuple(
        SeamPull(
            name=s.name, donor=s.donor, force_n=(0.3 if s.donor else 0.1) * lengths[s.name],
            force_low_n=0.0, force_high_n=0.5 * lengths[s.name],
        )
        for s in plan.closure.seams
    )  # fmt: skip
    known = Mechanics(
        status="converged", reason="", skins=8, failed=0, mesh_error_ratio=0.01,
        total_force_n=24.0, total_low_n=10.0, total_high_n=40.0, relative_low_ratio=1.0,
        relative_high_ratio=1.2, compared=8, least_of_these_fraction=0.5, donor_share=0.5,
        donor_share_low=0.4, donor_share_high=0.6, seam_forces=forces,
    )  # fmt: skip
    return replace(plan, mechanics=known)


@pytest.fixture(scope="module")
def plan_set():
    plain = case()
    made = plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY)
    return replace(made, plans=tuple(pulled(plan) for plan in made.plans))


@pytest.fixture(scope="module")
def operated(plan_set):
    return operated_case(case(), plan_set, DAY_0)


def test_everything_is_there_after_the_operation(operated, plan_set):
    made = healing_plan(operated, plan_set, TABLES, TODAY)
    assert made.plan.id == plan_set.chosen and made.code == plan_set.code
    assert made.schedule.operated_on == DAY_0 and made.note is not None
    assert [each.ml_per_day is not None for each in made.drain_days] == [True] * 4
    assert made.drain.readings == 4 and made.support_reason == ""


def test_the_donor_seam_is_sewn_first(operated, plan_set):
    made = healing_plan(operated, plan_set, TABLES, TODAY)
    assert made.layers.order[0] == made.layers.donor_seams[0]


def test_the_load_is_that_of_the_hardest_seam_per_millimetre(operated, plan_set):
    made = healing_plan(operated, plan_set, TABLES, TODAY)
    assert made.support.load_n_per_mm == pytest.approx(0.3)


def test_a_measured_depth_comes_before_the_planned_one(operated, plan_set):
    shallow = replace(operated, operation=replace(operated.operation, defect_depth_mm=8.0))
    planned = healing_plan(operated, plan_set, TABLES, TODAY).layers
    measured = healing_plan(shallow, plan_set, TABLES, TODAY).layers
    assert sum(x.rows for x in measured.layers) < sum(x.rows for x in planned.layers)


def test_without_pull_there_is_a_reason_and_no_figure(operated, plan_set):
    plain = replace(plan_set, plans=tuple(replace(p, mechanics=None) for p in plan_set.plans))
    made = healing_plan(operated, plain, TABLES, TODAY)
    assert made.support is None and "no pull was computed" in made.support_reason
    assert all(layer.loads == () for layer in made.layers.layers)


def test_a_pull_that_found_no_balance_says_why(operated, plan_set):
    none = {"status": "no figure", "reason": "No balance was found.", "seam_forces": ()}
    plans = tuple(replace(p, mechanics=replace(p.mechanics, **none)) for p in plan_set.plans)
    made = healing_plan(operated, replace(plan_set, plans=plans), TABLES, TODAY)
    assert made.support_reason == "no pull was computed for this plan: No balance was found"


def test_without_plans_dates_and_drain_remain(operated):
    made = healing_plan(operated, None, TABLES, TODAY)
    assert made.plan is None and made.layers is None and made.support is None
    assert made.schedule is not None and made.drain is not None


def test_before_the_operation_there_are_no_dates(plan_set):
    made = healing_plan(case(), plan_set, TABLES, TODAY)
    assert made.schedule is None and made.note is None and made.drain is None
    assert made.layers is not None and any(m.answer is Answer.NOT_ASKED for m in made.matters)


def test_plans_of_another_patient_are_refused(operated, plan_set):
    other = replace(operated, patient=PatientLabel(label="Somebody else"))
    with pytest.raises(InputError, match="Give the plans of this case"):
        healing_plan(other, plan_set, TABLES, TODAY)


def test_plans_that_the_operation_did_not_follow_are_refused(operated, plan_set):
    with pytest.raises(InputError, match="Give the plan file that was printed"):
        healing_plan(operated, replace(plan_set, code="C000000"), TABLES, TODAY)


def test_a_letter_that_is_not_among_the_plans_is_refused(operated, plan_set):
    odd = replace(operated, operation=replace(operated.operation, plan="Z"))
    with pytest.raises(InputError, match="followed plan Z; the plans are"):
        healing_plan(odd, plan_set, TABLES, TODAY)


def test_a_bleeding_drain_is_among_the_cautions(operated, plan_set):
    course = DrainCourse(
        operation_ended_at=datetime(2026, 12, 1, 10),
        readings=(
            DrainReading(emptied_at=datetime(2026, 12, 1, 10) + timedelta(hours=4), volume_ml=300),
        ),
    )
    bleeding = replace(operated, aftercare=replace(operated.aftercare, drain=course))
    made = healing_plan(bleeding, plan_set, TABLES, TODAY)
    assert any("surgeon" in caution for caution in made.cautions[2:])


def with_done(operated, **changes):
    return replace(operated, operation=replace(operated.operation, **changes))


def test_a_drain_that_was_read_but_never_laid_is_refused(operated, plan_set):
    with pytest.raises(InputError, match="No drain was laid"):
        healing_plan(with_done(operated, drains=()), plan_set, TABLES, TODAY)


def test_a_drain_of_another_day_is_refused(operated, plan_set):
    with pytest.raises(InputError, match="The operation was on 20 November 2026; the drain's"):
        healing_plan(with_done(operated, operated_on=date(2026, 11, 20)), plan_set, TABLES, TODAY)


def test_card_and_calendar_take_the_stitches_out_on_the_same_day(operated, plan_set):
    rule = DateRule(code="stitches-half", task="Out", who="surgeon", days=(19,))
    never = DateRule(code="stitches-rest", task="Out", who="surgeon")
    later = replace(
        operated,
        aftercare=replace(operated.aftercare, schedule=ScheduleSettings(rules=(rule, never))),
    )
    made = healing_plan(later, plan_set, TABLES, TODAY)
    days = {e.day for e in made.schedule.entries if e.code.startswith("stitches")}
    assert days == {19} and made.support.removal_day == 19


def test_sitting_adds_to_the_load(operated, plan_set):
    seated = SittingPull(reason="", over_lying_ratio=1.5, hardest_seam="A–B", gape_mm=3.0)
    plans = tuple(
        replace(p, mechanics=replace(p.mechanics, sitting=seated)) for p in plan_set.plans
    )
    lying = healing_plan(operated, plan_set, TABLES, TODAY).support
    sitting = healing_plan(operated, replace(plan_set, plans=plans), TABLES, TODAY).support
    assert sitting.load_n_per_mm == pytest.approx(1.5 * lying.load_n_per_mm)


def test_the_worst_line_is_held_against_the_hardest_pull(operated, plan_set):
    worst = healing_plan(operated, plan_set, TABLES, TODAY).support.lowest_worst
    assert worst.over_load_ratio == pytest.approx(worst.support_n_per_mm / 0.5)


def test_what_was_not_asked_is_said_and_not_taken_for_no(operated, plan_set):
    unasked = replace(operated, preparation=replace(operated.preparation, smokes=Answer.NOT_ASKED))
    assert any(
        "Not asked: smoking" in c for c in healing_plan(unasked, plan_set, TABLES, TODAY).cautions
    )
    assert not any("smoking" in c for c in healing_plan(operated, plan_set, TABLES, TODAY).cautions)


def test_layers_sewn_otherwise_are_said_to_be_so(operated, plan_set):
    other = with_done(
        operated, layers=(LayerDone(name="skin", material="poliglecaprone undyed", size="4-0"),)
    )
    assert any(
        "layers recorded are not" in c
        for c in healing_plan(other, plan_set, TABLES, TODAY).cautions
    )
    assert not any(
        "layers recorded" in c for c in healing_plan(operated, plan_set, TABLES, TODAY).cautions
    )


def test_a_record_without_a_plan_code_leaves_a_doubt(operated, plan_set):
    made = healing_plan(with_done(operated, plan_code=""), plan_set, TABLES, TODAY)
    assert any("no plan code" in caution for caution in made.cautions)


def test_a_pull_of_nought_gives_a_reason_and_no_figure(operated, plan_set):
    plans = tuple(
        replace(
            p,
            mechanics=replace(
                p.mechanics,
                seam_forces=tuple(replace(f, force_n=0.0) for f in p.mechanics.seam_forces),
            ),
        )
        for p in plan_set.plans
    )
    made = healing_plan(operated, replace(plan_set, plans=plans), TABLES, TODAY)
    assert made.support is None and "nothing pulls" in made.support_reason


def test_a_reading_that_is_not_believed_does_not_count(operated, plan_set):
    first, *rest = operated.aftercare.drain.readings
    unsure = replace(rest[0], volume_ml=0.5, patent=Answer.NOT_ASKED)
    course = replace(operated.aftercare.drain, readings=(first, unsure))
    fallen = replace(operated, aftercare=replace(operated.aftercare, drain=course))
    made = healing_plan(fallen, plan_set, TABLES, DAY_0 + timedelta(days=2))
    assert [each.counts for each in made.drain_days] == [True, False]


def test_a_drain_that_nobody_reads_or_takes_out_is_said(operated, plan_set):
    rule = replace(operated.aftercare.drain_rule, below_ml=5.0)
    kept = replace(operated, aftercare=replace(operated.aftercare, drain_rule=rule))
    said = {
        day: healing_plan(kept, plan_set, TABLES, DAY_0 + timedelta(days=day)).cautions
        for day in (5, 8, 25)
    }
    assert not any(c.startswith("Day 5") for c in said[5])
    assert any("nothing was read since day 4" in c for c in said[8])
    assert any("the latest day for the drain, 21, has passed" in c for c in said[25])


def test_dates_hold_no_drain_that_was_never_laid(operated, plan_set):
    none = replace(
        with_done(operated, drains=()), aftercare=replace(operated.aftercare, drain=None)
    )
    made = healing_plan(none, plan_set, TABLES, TODAY)
    assert made.schedule.entries
    assert not any(entry.code.startswith("drain") for entry in made.schedule.entries)


def test_the_forecast_offers_no_day_that_has_passed(operated, plan_set):
    rule = replace(operated.aftercare.drain_rule, below_ml=5.0)
    kept = replace(operated, aftercare=replace(operated.aftercare, drain_rule=rule))
    made = healing_plan(kept, plan_set, TABLES, DAY_0 + timedelta(days=8))
    assert min(each.day for each in made.drain.days) > 8


def reading_days(made):
    return [entry.day for entry in made.schedule.entries if entry.code.startswith("drain")]


@pytest.mark.parametrize("below_ml", [10.0, 3.0])
def test_the_drain_is_read_each_day_as_far_as_the_forecast_reaches(operated, plan_set, below_ml):
    rule = replace(operated.aftercare.drain_rule, below_ml=below_ml)
    kept = replace(operated, aftercare=replace(operated.aftercare, drain_rule=rule))
    made = healing_plan(kept, plan_set, TABLES, DAY_0 + timedelta(days=5))
    reach = made.drain.met_on_day or made.drain.to_day or rule.latest_day
    assert reading_days(made) == list(range(1, max(3, reach) + 1))


def test_a_slow_drain_is_read_until_the_latest_day(operated, plan_set):
    slow = tuple(replace(each, volume_ml=60.0) for each in operated.aftercare.drain.readings)
    course = replace(operated.aftercare.drain, readings=slow)
    kept = replace(operated, aftercare=replace(operated.aftercare, drain=course))
    made = healing_plan(kept, plan_set, TABLES, DAY_0 + timedelta(days=5))
    assert made.drain.to_day is None
    assert reading_days(made)[-1] == made.drain_rule.latest_day


def test_a_reading_moved_by_hand_stands_whatever_the_forecast_says(operated, plan_set):
    moved = OwnDay(code="drain-9-days", on=DAY_0 + timedelta(days=10))
    settings = ScheduleSettings(own_days=(moved,))
    kept = replace(operated, aftercare=replace(operated.aftercare, schedule=settings))
    assert 10 in reading_days(healing_plan(kept, plan_set, TABLES, TODAY))


def test_a_surgeons_own_rule_for_the_drain_stands(operated, plan_set):
    own = DateRule(code="drain", task="Empty the bottle", who="patient", days=(2, 4))
    settings = ScheduleSettings(rules=(own,))
    kept = replace(operated, aftercare=replace(operated.aftercare, schedule=settings))
    assert reading_days(healing_plan(kept, plan_set, TABLES, TODAY)) == [2, 4]


@pytest.mark.parametrize(
    ("answer", "words"),
    [(Answer.NO, "Stop at"), (Answer.YES, "no dye step"), (Answer.NOT_ASKED, "was not asked")],
)
def test_the_dye_step_is_printed_only_once_allergy_was_asked_and_denied(
    operated, plan_set, answer, words
):
    allergies = replace(operated.findings.allergies, dye=answer)
    asked = replace(operated, findings=replace(operated.findings, allergies=allergies))
    said = healing_plan(asked, plan_set, TABLES, TODAY).dye
    assert words in said
    assert ("mL" in said) is (answer is Answer.NO)
