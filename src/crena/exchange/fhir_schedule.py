"""The dates after the operation as a CarePlan of FHIR R4."""

from datetime import date

from crena.exchange.fhir_elements import Element, concept, notes
from crena.exchange.fhir_entries import entry, reference
from crena.exchange.fhir_operation import PROCEDURE
from crena.exchange.fhir_patient import PATIENT
from crena.records import DatedTask, HealingPlan, Schedule, weekday_date
from crena.records.statements import CAUTION


def care_plan(healing: HealingPlan, schedule: Schedule) -> Element:
    """Return the dates as CarePlan: a draft and a proposal until a surgeon makes it more.

    Notes
    -----
    R4, CarePlan: status, intent and subject 1..1; an activity has a detail or a reference,
    not both (cpl-3), and a detail its status. A period begins before it ends (per-1).
    """
    days = [schedule.operated_on, *(each.on for each in schedule.entries)]
    resource = {
        "resourceType": "CarePlan",
        "status": "draft",
        "intent": "proposal",
        "title": "Dates after the operation",
        "subject": reference(healing, PATIENT),
        "created": healing.made_on,
        "period": {"start": min(days).isoformat(), "end": max(days).isoformat()},
        "supportingInfo": [reference(healing, PROCEDURE)] if healing.operation else [],
        "activity": [_activity(each, healing.made_on) for each in schedule.entries],
        "note": notes(CAUTION, healing.allergies, *healing.cautions),
    }
    return entry(healing, "schedule", resource)


def _activity(task: DatedTask, made_on: str) -> Element:
    """Return one date; whether a day that has come was kept is not known here."""
    ahead = task.on > date.fromisoformat(made_on)
    detail = {
        "status": "not-started" if ahead else "unknown",
        "code": concept(task.task),
        "scheduledTiming": {"event": [task.on.isoformat()]},
        "performer": [{"display": task.who}],
        "description": _description(task),
    }
    return {"detail": detail}


def _description(task: DatedTask) -> str:
    beside = task.weekday_after
    sentences = (
        f"{weekday_date(task.on)}, day {task.day} from the operation.",
        f"A weekend; the next weekday is {weekday_date(beside)}." if beside else "",
        f"Time: {task.source}.",
        task.caution,
        *task.warnings,
    )
    return " ".join(filter(None, sentences))
