"""A whole healing plan for tests: one invented operation, four days of its drain."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import cache

from factory import CALM, NO_ALLERGY, case
from sample_plans import sample_plan_set

from crena.planning.aftercare import healing_plan
from crena.records import (
    Aftercare,
    Answer,
    Case,
    Deviation,
    DrainCourse,
    DrainFluid,
    DrainPlaced,
    DrainReading,
    Drugs,
    DyeSeen,
    Findings,
    HealingPlan,
    LayerDone,
    Mechanics,
    OperationRecord,
    PatientLabel,
    Plan,
    Preparation,
    SeamPull,
    Side,
    TimedStep,
    WallClearance,
)
from crena.store.tables import suture_tables

OPERATED_ON = date(2026, 11, 26)
PRINTED_ON = date(2026, 11, 30)
DRAIN_ML = (34.0, 21.0, 15.5, 12.0)
FORCES_N = {
    "A–B": (3.1, 2.2, 5.0),
    "B–C": (2.4, 1.7, 3.9),
    "A–D": (4.0, 2.9, 6.6),
    "D–E": (7.5, 5.2, 12.4),
}
"""Seam: middle pull, low, high."""


def sample_healing(**changes: object) -> HealingPlan:
    """Return all that is known four days after an invented operation; any field may be replaced."""
    return replace(_whole(), **changes)


@cache
def _whole() -> HealingPlan:
    plans = sample_plan_set()
    pulled = replace(plans, plans=tuple(with_pull(plan) for plan in plans.plans))
    return healing_plan(sample_operated_case(), pulled, suture_tables(), PRINTED_ON)


def sample_operated_case(**changes: object) -> Case:
    """Return the case that the healing plan is made from."""
    no = Answer.NO
    return case(
        patient=PatientLabel(label="Case 12 (demonstration)"),
        findings=Findings(
            seen_on=date(2026, 11, 21),
            acute_signs=CALM,
            allergies=replace(NO_ALLERGY, dye=Answer.NOT_ASKED, latex=Answer.YES),
            drugs=Drugs(
                anticoagulant=no, serotonergic=no, immunosuppressant=no, g6pd_deficiency=no,
                pregnancy=no,
            ),
        ),
        preparation=Preparation(
            skin_broken=no, scars_in_field=no, hair_in_field=Answer.YES, smokes=Answer.YES,
            diabetes=no, frail_heart_or_liver=no, implanted_device=Answer.NOT_ASKED,
        ),
        operation=sample_operation(),
        aftercare=Aftercare(
            contaminated=no, drain=sample_course(), call_at="Ward 0, 000 0000 (invented)"
        ),
        **changes,
    )  # fmt: skip


def sample_operation(**changes: object) -> OperationRecord:
    """Return an operation that went otherwise than planned in one place."""
    plain = OperationRecord(
        operated_on=OPERATED_ON,
        plan_code="C12-4F2C",
        plan="A",
        dye_seen=DyeSeen.AT_WALL,
        dye_walls=("C–D",),
        defect_length_mm=88.0,
        defect_width_mm=52.0,
        defect_depth_mm=30.0,
        specimen_length_mm=84.0,
        specimen_width_mm=49.0,
        specimen_weight_g=61,
        clearances=(
            WallClearance(wall="A–B", clearance_mm=6.4),
            WallClearance(wall="C–D", clearance_mm=4.0),
        ),
        layers=(
            LayerDone(name="deep fat to fascia", material="polydioxanone", size="2-0", stitches=24),
            LayerDone(name="deep dermis", material="polydioxanone", size="3-0", stitches=17),
            LayerDone(name="skin", material="polyamide", size="3-0"),
        ),
        drains=(DrainPlaced(name="1", size_charriere=10, leaves_on=Side.RIGHT),),
        counts_agree=Answer.YES,
        deviations=(Deviation(what="Wall C–D was cut 5 mm farther out", why="dye was seen there"),),
        steps=(
            TimedStep(step="Skin cut", at=time(8, 45)),
            TimedStep(step="Skin closed", at=time(10, 20)),
        ),
        note="Invented operation.",
    )
    return replace(plain, **changes)


def sample_course(*volumes_ml: float | None) -> DrainCourse:
    """Return a drain that was emptied each morning, by default four times."""
    return DrainCourse(
        operation_ended_at=datetime.combine(OPERATED_ON, time(10, 20)),
        readings=tuple(
            DrainReading(
                emptied_at=datetime.combine(OPERATED_ON + timedelta(days=day), time(8)),
                volume_ml=volume_ml,
                fluid=DrainFluid.CLEAR if day > 1 else DrainFluid.BLOODSTAINED,
                patent=Answer.YES,
            )
            for day, volume_ml in enumerate(volumes_ml or DRAIN_ML, start=1)
        ),
    )


def with_pull(plan: Plan) -> Plan:
    """Return a plan with an invented pull on each of its seams."""
    pulls = tuple(
        SeamPull(name=seam.name, donor=seam.donor, force_n=n, force_low_n=low, force_high_n=high)
        for seam in plan.closure.seams
        for n, low, high in [FORCES_N[seam.name]]
    )
    return replace(plan, mechanics=_mechanics(pulls))


def _mechanics(pulls: tuple[SeamPull, ...]) -> Mechanics:
    return Mechanics(
        status="converged", reason="", skins=32, failed=0, mesh_error_ratio=0.02,
        total_force_n=sum(p.force_n for p in pulls), total_low_n=sum(p.force_low_n for p in pulls),
        total_high_n=sum(p.force_high_n for p in pulls), relative_low_ratio=1.04,
        relative_high_ratio=1.32, compared=32, least_of_these_fraction=0.31, donor_share=0.44,
        donor_share_low=0.4, donor_share_high=0.5, seam_forces=pulls,
    )  # fmt: skip
