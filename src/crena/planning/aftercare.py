"""From a chosen plan and what was recorded to everything that the healing sheets say."""

from dataclasses import replace
from datetime import date
from math import floor

import numpy as np

from crena.geometry.measures import polyline_length_mm
from crena.healing.agenda import STITCHES, agenda, drain_lies
from crena.healing.before_operation import matters_before_operation
from crena.healing.date_rules import DRAIN_READING
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_rates import drain_days
from crena.healing.dye import refuse_dye_allergy
from crena.healing.dye_volume import dye_volume
from crena.healing.layers import plan_layers, seam_line
from crena.healing.operation_note import operation_note
from crena.healing.schedule import schedule
from crena.healing.support import support_against_time
from crena.planning.words import allergies_of, label_of
from crena.records import (
    Answer,
    Case,
    DrainCourse,
    DrainForecast,
    DrainRead,
    HealingPlan,
    InputError,
    LayerDone,
    LayerPlan,
    LayerTemplate,
    Plan,
    PlanSet,
    Schedule,
    SeamLine,
    Support,
    SupportTerms,
    SutureTables,
    ThreadTerms,
    long_date,
)
from crena.records.schedules import AgendaTask
from crena.records.statements import CAUTION

NO_PULL = "no pull was computed for this plan"

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
    _refuse_contradictions(case)
    drain, rule = case.aftercare.drain, case.aftercare.drain_rule
    forecast = forecast_drain(drain, rule, today=today) if drain else None
    dates = _dates(case, forecast)
    templates = _with_dates(case.aftercare.layers or tables.layers, dates)
    layers = _layers(case, plan, templates, tables)
    support, why_not = _support(case, plan, _sewn(templates, layers), tables)
    made = HealingPlan(
        case_label=label_of(case.patient),
        allergies=allergies_of(case.findings),
        code=plan_set.code if plan_set else "",
        made_on=today.isoformat(),
        plan=plan,
        matters=matters_before_operation(case.findings, case.preparation),
        preparation=case.preparation,
        dye=_dye_words(case, plan_set),
        operation=case.operation,
        note=operation_note(case.operation, plan) if case.operation else None,
        schedule=dates,
        agenda=agenda(case, dates, forecast, today) if dates else (),
        layers=layers,
        support=support,
        support_reason=why_not,
        drain_rule=rule,
        drain_days=_read(drain, forecast) if drain and forecast else (),
        drain=forecast,
        call_at=case.aftercare.call_at,
        cautions=(),
    )
    return replace(made, cautions=(*_cautions(made), *_doubts(case, plan, templates)))


def agenda_of(case: Case, today: date) -> tuple[AgendaTask, ...]:
    """Return what is done and due of one case; nothing before its operation.

    Parameters
    ----------
    case : Case
        With the operation and the aftercare, as far as there are any.
    today : date
        The local day.

    Raises
    ------
    InputError
        If the dates cannot be made, or the readings of the drain cannot be.
    """
    if case.operation is None:
        return ()
    _refuse_contradictions(case)
    drain = case.aftercare.drain if drain_lies(case) else None
    forecast = forecast_drain(drain, case.aftercare.drain_rule, today=today) if drain else None
    dates = _dates(case, forecast)
    return agenda(case, dates, forecast, today) if dates else ()


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


def _dye_words(case: Case, plan_set: PlanSet | None) -> str:
    """Say where the syringe stops, or why no dye is given; nothing without a map."""
    if plan_set is None:
        return ""
    try:
        refuse_dye_allergy(case.findings.allergies.dye)
        held = dye_volume(plan_set.tract_map.tracts, plan_set.tract_map.cavities)
    except InputError as refusal:
        return str(refusal)
    low, high = (f"{floor(10 * volume) / 10:g}" for volume in (held.low_ml, held.high_ml))
    return f"The tracts hold {low}–{high} mL. {held.words}"


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


def _refuse_contradictions(case: Case) -> None:
    done, drain = case.operation, case.aftercare.drain
    if done is None or drain is None:
        return
    if done.drains == () and drain.readings:
        raise InputError(
            "No drain was laid by the operation record, but a drain was read. Correct one of them."
        )
    days = (drain.operation_ended_at.date() - done.operated_on).days
    if not 0 <= days <= 1:
        raise InputError(
            f"The operation was on {long_date(done.operated_on)}; the drain's course begins on "
            f"{long_date(drain.operation_ended_at.date())}. Correct one of them."
        )


def _dates(case: Case, forecast: DrainForecast | None) -> Schedule | None:
    if case.operation is None:
        return None
    asked, drain_laid = case.aftercare.schedule, case.operation.drains != ()
    if forecast is not None:
        daily = replace(DRAIN_READING, days=_reading_days(case, forecast))
        asked = replace(asked, rules=(daily, *asked.rules))
    return schedule(case.operation.operated_on, asked, drain_laid=drain_laid)


def _reading_days(case: Case, forecast: DrainForecast) -> tuple[int, ...]:
    """Return the days on which the drain is read: each one until it is expected to be out.

    A day that the surgeon moved by hand stays among them, whatever the forecast says now.
    """
    settings, latest_day = case.aftercare.schedule, case.aftercare.drain_rule.latest_day
    moved = {own.code for own in settings.own_days}
    named = [n for n in range(1, latest_day + 1) if f"{DRAIN_READING.code}-{n}-days" in moved]
    reach = forecast.met_on_day or forecast.to_day or latest_day
    return tuple(range(1, max(*DRAIN_READING.days, *named, reach) + 1))


def _with_dates(
    templates: tuple[LayerTemplate, ...], dates: Schedule | None
) -> tuple[LayerTemplate, ...]:
    """Return the layers with the day on which the first stitches leave by the schedule.

    The whole layer is taken to be gone from that day on, which is the safe side.
    """
    day = _stitches_day(dates)
    if day is None:
        return templates
    return tuple(
        replace(t, removal_day=float(day)) if t.through_skin and t.removal_day else t
        for t in templates
    )


def _stitches_day(dates: Schedule | None) -> int | None:
    entries = dates.entries if dates else ()
    return min((e.day for e in entries if e.code.startswith(STITCHES)), default=None)


def _layers(
    case: Case, plan: Plan | None, templates: tuple[LayerTemplate, ...], tables: SutureTables
) -> LayerPlan | None:
    seams, depth_mm = _seams(plan), _depth_mm(case, plan)
    if not seams or not depth_mm:
        return None
    return plan_layers(depth_mm, seams, templates, tables, ThreadTerms())


def _sewn(
    templates: tuple[LayerTemplate, ...], layers: LayerPlan | None
) -> tuple[LayerTemplate, ...]:
    """Return the layers that the wound is deep enough for."""
    names = {layer.name for layer in layers.layers} if layers else set()
    return tuple(template for template in templates if template.name in names)


def _support(
    case: Case, plan: Plan | None, templates: tuple[LayerTemplate, ...], tables: SutureTables
) -> tuple[Support | None, str]:
    """Return support against the seam that pulls hardest, or why there is none."""
    forces = [seam.force for seam in _seams(plan) if seam.force]
    if not forces:
        return None, _why_no_pull(plan)
    if not templates or max(force.middle_n_per_mm for force in forces) <= 0:
        return None, "nothing is sewn, or nothing pulls"
    more = _sitting_ratio(plan)
    terms = SupportTerms(
        load_n_per_mm=more * max(force.middle_n_per_mm for force in forces),
        high_load_n_per_mm=more * max(force.high_n_per_mm for force in forces),
        multiple_ratio=case.aftercare.multiple_ratio,
        contaminated=case.aftercare.contaminated,
        risks=sum(answer is Answer.YES for answer in _risks(case).values()),
    )
    return support_against_time(templates, tables, terms, np.random.default_rng(case.seed)), ""


def _why_no_pull(plan: Plan | None) -> str:
    """Say whether the pull was not computed yet, or why it has no figure."""
    if plan is None:
        return "there is no plan"
    found = plan.mechanics
    if found is None or found.status == "converged" or not found.reason:
        return NO_PULL
    return f"no pull was computed for this plan: {found.reason.rstrip('.')}"


def _sitting_ratio(plan: Plan | None) -> float:
    """Return by how much sitting pulls harder, where a stretch was stated; never below 1."""
    seated = plan.mechanics.sitting if plan and plan.mechanics else None
    return max(1.0, seated.over_lying_ratio or 1.0) if seated else 1.0


def _risks(case: Case) -> dict[str, Answer]:
    return {
        "smoking": case.preparation.smokes,
        "diabetes": case.preparation.diabetes,
        "immunosuppressant": case.findings.drugs.immunosuppressant,
    }


def _doubts(case: Case, plan: Plan | None, templates: tuple[LayerTemplate, ...]) -> list[str]:
    """Say what was taken without being known."""
    found = []
    unasked = [name for name, answer in _risks(case).items() if answer is Answer.NOT_ASKED]
    if unasked:
        found.append(
            f"Not asked: {', '.join(unasked)}. With any of them stitches customarily stay longer."
        )
    done = case.operation
    if done and plan and not done.plan_code:
        found.append(
            "The operation record holds no plan code; whether it followed these plans is not known."
        )
    if done and done.layers and not _as_computed(done.layers, templates):
        found.append(
            "The layers recorded are not those that support was computed with. Enter them as the "
            "layers of the aftercare."
        )
    return found


def _as_computed(done: tuple[LayerDone, ...], templates: tuple[LayerTemplate, ...]) -> bool:
    return {(d.material, d.size) for d in done} == {(t.material.value, t.size) for t in templates}


def _read(course: DrainCourse, forecast: DrainForecast) -> tuple[DrainRead, ...]:
    believed = forecast.believed_days
    return tuple(
        DrainRead(day=each.day, ml_per_day=each.ml_per_day, counts=each.day in believed)
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
