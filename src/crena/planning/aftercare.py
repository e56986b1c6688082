"""From a chosen plan and what was recorded to everything that the healing sheets say."""

from dataclasses import replace
from datetime import date

import numpy as np

from crena.geometry.measures import polyline_length_mm
from crena.healing.before_operation import matters_before_operation
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_rates import drain_days
from crena.healing.layers import plan_layers, seam_line
from crena.healing.operation_note import operation_note
from crena.healing.schedule import schedule
from crena.healing.support import support_against_time
from crena.planning.words import allergies_of, label_of
from crena.records import (
    Answer,
    Case,
    DrainCourse,
    DrainRead,
    HealingPlan,
    InputError,
    LayerTemplate,
    Plan,
    PlanSet,
    Preparation,
    SeamLine,
    Support,
    SupportTerms,
    SutureTables,
    ThreadTerms,
)
from crena.records.statements import CAUTION

PROTOCOLS = (
    "Dates, drain and stitches: local protocols and the surgeon's own day come before these "
    "figures."
)


def healing_plan(
    case: Case, plan_set: PlanSet | None, tables: SutureTables, today: date
) -> HealingPlan:
    """Return layers, support, drain forecast, dates and the operation note of one case.

    Parameters
    ----------
    case : Case
        With the operation and the readings, as far as there are any.
    plan_set : PlanSet, optional
        The plans of this case; without them what rests on a plan is left out, with words.
    tables : SutureTables
        Threads and wounds.
    today : date
        To be printed.

    Raises
    ------
    InputError
        If the plans are of another case, or the operation names a plan that is not among them.
    """
    plan = _followed(case, plan_set)
    templates = case.aftercare.layers or tables.layers
    seams = _seams(plan)
    depth_mm = _depth_mm(case, plan)
    support, why_not = _support(case, seams, templates, tables)
    drain = case.aftercare.drain
    made = HealingPlan(
        case_label=label_of(case.patient),
        allergies=allergies_of(case.findings),
        code=plan_set.code if plan_set else "",
        made_on=today.isoformat(),
        plan=plan,
        matters=matters_before_operation(case.findings, case.preparation),
        preparation=case.preparation,
        operation=case.operation,
        note=operation_note(case.operation, plan) if case.operation else None,
        schedule=(
            schedule(case.operation.operated_on, case.aftercare.schedule)
            if case.operation
            else None
        ),
        layers=(
            plan_layers(depth_mm, seams, templates, tables, ThreadTerms())
            if seams and depth_mm
            else None
        ),
        support=support,
        support_reason=why_not,
        drain_rule=case.aftercare.drain_rule,
        drain_days=_read(drain) if drain else (),
        drain=forecast_drain(drain, case.aftercare.drain_rule) if drain else None,
        call_at=case.aftercare.call_at,
        cautions=(),
    )
    return replace(made, cautions=_cautions(made))


def _followed(case: Case, plan_set: PlanSet | None) -> Plan | None:
    """Return the plan that was followed, or the one that is chosen."""
    if plan_set is None:
        return None
    if plan_set.case_label != label_of(case.patient):
        raise InputError(
            f"The plans are those of {plan_set.case_label}, the case is that of "
            f"{label_of(case.patient)}. Give the plans of this case."
        )
    done = case.operation
    if done and done.plan_code and done.plan_code != plan_set.code:
        raise InputError(
            f"The operation followed plan {done.plan_code}; the plans given are {plan_set.code}. "
            "Give the plan file that was printed for the operation."
        )
    letter = done.plan if done and done.plan else plan_set.chosen
    for plan in plan_set.plans:
        if plan.id == letter:
            return plan
    known = ", ".join(plan.id for plan in plan_set.plans)
    raise InputError(f"The operation followed plan {letter}; the plans are {known}.")


def _seams(plan: Plan | None) -> tuple[SeamLine, ...]:
    """Return the lines to be sewn, with their pull where it was computed."""
    if plan is None:
        return ()
    lengths = {s.name: polyline_length_mm(s.fixed_mm) for s in plan.closure.seams}
    if plan.mechanics is not None and plan.mechanics.seam_forces:
        return tuple(seam_line(pull, lengths[pull.name]) for pull in plan.mechanics.seam_forces)
    return tuple(
        SeamLine(name=s.name, length_mm=lengths[s.name], donor=s.donor) for s in plan.closure.seams
    )


def _depth_mm(case: Case, plan: Plan | None) -> float | None:
    if case.operation is not None and case.operation.defect_depth_mm is not None:
        return case.operation.defect_depth_mm
    return plan.excision.depth_mm if plan else None


def _support(
    case: Case,
    seams: tuple[SeamLine, ...],
    templates: tuple[LayerTemplate, ...],
    tables: SutureTables,
) -> tuple[Support | None, str]:
    """Return support against the seam that pulls hardest, or why there is none."""
    loads = [seam.force.middle_n_per_mm for seam in seams if seam.force]
    if not loads:
        return None, "no pull was computed for this plan" if seams else "there is no plan"
    terms = SupportTerms(
        load_n_per_mm=max(loads),
        multiple_ratio=case.aftercare.multiple_ratio,
        contaminated=case.aftercare.contaminated,
        risks=_risks(case.preparation, case),
    )
    return support_against_time(templates, tables, terms, np.random.default_rng(case.seed)), ""


def _risks(preparation: Preparation, case: Case) -> int:
    answers = preparation.smokes, preparation.diabetes, case.findings.drugs.immunosuppressant
    return sum(answer is Answer.YES for answer in answers)


def _read(course: DrainCourse) -> tuple[DrainRead, ...]:
    return tuple(
        DrainRead(day=each.day, ml_per_day=each.ml_per_day, counts=each.counts)
        for each in drain_days(course).days
    )


def _cautions(made: HealingPlan) -> tuple[str, ...]:
    found = [CAUTION, PROTOCOLS]
    if made.layers:
        found += made.layers.warnings
    if made.support:
        found += made.support.warnings
    if made.drain:
        found += made.drain.cautions
    if made.schedule:
        found += [w for entry in made.schedule.entries for w in entry.warnings]
    return tuple(dict.fromkeys(found))
