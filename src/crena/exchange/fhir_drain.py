"""What the drains gave, day by day, in FHIR R4."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

from crena.exchange.fhir_elements import Element, concept, notes, quantity
from crena.exchange.fhir_entries import entry, reference, status_of
from crena.exchange.fhir_patient import PATIENT
from crena.records import DrainRead, HealingPlan

ABSENT = {"system": "http://terminology.hl7.org/CodeSystem/data-absent-reason", "code": "unknown"}
"""A value that is expected and not known (FHIR R4, code system data-absent-reason)."""

DECIMALS = 1
"""Assumed: a tenth of a mL is finer than any bottle is read."""


def drain_entries(healing: HealingPlan) -> Iterator[Element]:
    """Yield each day of the drains; two may have ended on one day of the calendar."""
    seen: Counter[int] = Counter()
    for read in healing.drain_days:
        seen[read.day] += 1
        yield drain_volume(healing, read, f"drain {read.day}.{seen[read.day]}")


def drain_volume(healing: HealingPlan, read: DrainRead, role: str) -> Element:
    """Return one day as Observation (R4, obs-6: a reason only where there is no value).

    The unit is mL/d and not mL: days are brought to 24 hours, and must not be added up. A day
    that was not measured stands there and says so.
    """
    on = _day(healing, read)
    resource = {
        "resourceType": "Observation",
        "status": status_of(healing, on),
        "code": concept("Volume of all drains together in 24 hours"),
        "subject": reference(healing, PATIENT),
        "effectiveDateTime": on,
        "note": notes(
            f"Day {read.day}, counted from the operation.",
            "" if read.counts else "This day does not count for the rule of removal.",
        ),
        **_value(read),
    }
    return entry(healing, role, resource)


def _value(read: DrainRead) -> Element:
    if read.ml_per_day is None:
        return {"dataAbsentReason": {"coding": [ABSENT]}}
    return {"valueQuantity": quantity(round(read.ml_per_day, DECIMALS), "mL/d")}


def _day(healing: HealingPlan, read: DrainRead) -> str | None:
    if healing.operation is None:
        return None
    return (healing.operation.operated_on + timedelta(days=read.day)).isoformat()
