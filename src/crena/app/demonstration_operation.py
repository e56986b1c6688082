"""How the demonstration case goes on: an invented operation and four days of its drain."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import numpy as np

from crena.records import (
    Aftercare,
    Answer,
    Case,
    DrainCourse,
    DrainFluid,
    DrainPlaced,
    DrainReading,
    DyeSeen,
    LayerDone,
    OperationRecord,
    Plan,
    PlanSet,
    Preparation,
    Side,
    TimedStep,
    WallClearance,
)

DRAIN_ML = (34.0, 21.0, 15.5, 12.0)
"""Invented: what the drain gives on the mornings after the operation."""

ENDED = time(10, 20)
EMPTIED = time(8, 0)

STEPS = (
    (time(8, 45), "Skin cut"),
    (time(9, 20), "Specimen out, thread at its head end"),
    (time(9, 50), "Flap in place"),
    (ENDED, "Skin closed"),
)


def operated_case(case: Case, plan_set: PlanSet, operated_on: date) -> Case:
    """Return the demonstration case after its invented operation.

    Parameters
    ----------
    case : Case
        As planned.
    plan_set : PlanSet
        Its plans; the chosen one is followed.
    operated_on : date
        Day 0.
    """
    plan = next(p for p in plan_set.plans if p.id == plan_set.chosen)
    no = Answer.NO
    return replace(
        case,
        preparation=Preparation(
            skin_broken=no, scars_in_field=no, hair_in_field=Answer.YES, smokes=no,
            diabetes=no, frail_heart_or_liver=no, implanted_device=no,
        ),
        operation=_operation(plan_set.code, plan, operated_on),
        aftercare=Aftercare(
            contaminated=no, drain=_drain(operated_on), call_at="Ward 0, 000 0000 (invented)"
        ),
    )  # fmt: skip


def _operation(code: str, plan: Plan, operated_on: date) -> OperationRecord:
    length_mm, width_mm = np.ptp(np.array(plan.closure.removed_mm), axis=0)[::-1]
    return OperationRecord(
        operated_on=operated_on,
        plan_code=code,
        plan=plan.id,
        dye_seen=DyeSeen.NOWHERE,
        defect_length_mm=float(round(length_mm + 2)),
        defect_width_mm=float(round(width_mm + 1)),
        defect_depth_mm=float(round(plan.excision.depth_mm)),
        specimen_length_mm=float(round(length_mm)),
        specimen_width_mm=float(round(width_mm)),
        specimen_weight_g=round(plan.excision.volume_ml),
        clearances=tuple(
            WallClearance(wall=wall.name, clearance_mm=5.0) for wall in plan.excision.outline.walls
        ),
        blood_loss_ml=30.0,
        layers=(
            LayerDone(name="deep fat to fascia", material="polydioxanone", size="2-0"),
            LayerDone(name="deep dermis", material="polydioxanone", size="3-0"),
            LayerDone(name="skin", material="polyamide", size="3-0"),
        ),
        drains=(DrainPlaced(name="1", size_charriere=10, leaves_on=Side.RIGHT),),
        counts_agree=Answer.YES,
        deviations=(),
        steps=tuple(TimedStep(step=step, at=at) for at, step in STEPS),
        note="Invented operation.",
    )


def _drain(operated_on: date) -> DrainCourse:
    return DrainCourse(
        operation_ended_at=datetime.combine(operated_on, ENDED),
        readings=tuple(
            DrainReading(
                emptied_at=datetime.combine(operated_on + timedelta(days=day), EMPTIED),
                volume_ml=volume_ml,
                fluid=DrainFluid.CLEAR if day > 1 else DrainFluid.BLOODSTAINED,
                patent=Answer.YES,
            )
            for day, volume_ml in enumerate(DRAIN_ML, start=1)
        ),
    )
