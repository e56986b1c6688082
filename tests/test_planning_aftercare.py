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
    DrainCourse,
    DrainReading,
    InputError,
    Mechanics,
    PatientLabel,
    SeamPull,
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
        relative_high_ratio=1.2, least_of_these_fraction=0.5, donor_share=0.5,
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
    assert all(load.margin_ratio is None for layer in made.layers.layers for load in layer.loads)


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
