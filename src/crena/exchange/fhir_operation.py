"""The operation and what was measured at it, in FHIR R4."""

from collections.abc import Iterator

from crena.exchange.fhir_elements import Element, concept, notes, quantity
from crena.exchange.fhir_entries import entry, is_ahead, reference, status_of
from crena.exchange.fhir_patient import PATIENT
from crena.records import HealingPlan, OperationRecord

PROCEDURE = "operation"

SITE = "sacrococcygeal region"

PERFORMED = "Excision of pilonidal sinus disease"


def operation_entries(healing: HealingPlan) -> Iterator[Element]:
    """Yield the operation, then each measure of it that was recorded."""
    done = healing.operation
    if done is None:
        return
    yield procedure(healing, done)
    if done.blood_loss_ml is not None:
        yield blood_loss(healing, done, done.blood_loss_ml)
    if done.specimen_weight_g is not None:
        yield specimen_weight(healing, done, done.specimen_weight_g)
    sizes = done.specimen_length_mm, done.specimen_width_mm, done.specimen_depth_mm
    if any(size is not None for size in sizes):
        yield specimen_size(healing, done)
    if done.clearances:
        yield clearances(healing, done)


def procedure(healing: HealingPlan, done: OperationRecord) -> Element:
    """Return the Procedure (R4: status and subject 1..1, code and performed[x] 0..1).

    What lies ahead is in preparation (value set event-status), whatever was recorded of it.
    """
    performed_on = done.operated_on.isoformat()
    resource = {
        "resourceType": "Procedure",
        "status": "preparation" if is_ahead(healing, performed_on) else "completed",
        "subject": reference(healing, PATIENT),
        "code": concept(_performed(healing, done)),
        "bodySite": [concept(SITE)],
        "performedDateTime": performed_on,
        "note": notes(healing.allergies, *_note(healing)),
    }
    return entry(healing, PROCEDURE, resource)


def blood_loss(healing: HealingPlan, done: OperationRecord, loss_ml: float) -> Element:
    """Return the blood loss as Observation."""
    resource = _observation(healing, done, "Blood loss during the operation")
    return entry(healing, "blood loss", {**resource, "valueQuantity": quantity(loss_ml, "mL")})


def specimen_weight(healing: HealingPlan, done: OperationRecord, weight_g: int) -> Element:
    """Return the weight of the specimen as Observation."""
    resource = _observation(healing, done, "Weight of the specimen")
    return entry(healing, "specimen weight", {**resource, "valueQuantity": quantity(weight_g, "g")})


def specimen_size(healing: HealingPlan, done: OperationRecord) -> Element:
    """Return the sizes of the specimen that were measured, as parts of one Observation."""
    sizes = {
        "Length": done.specimen_length_mm,
        "Width": done.specimen_width_mm,
        "Depth": done.specimen_depth_mm,
    }
    parts = [_part_mm(name, size) for name, size in sizes.items() if size is not None]
    resource = _observation(healing, done, "Size of the specimen")
    return entry(healing, "specimen size", {**resource, "component": parts})


def clearances(healing: HealingPlan, done: OperationRecord) -> Element:
    """Return the healthy tissue in front of each wall, as parts of one Observation."""
    resource = _observation(
        healing, done, "Healthy tissue between the disease and the wall, measured on the specimen"
    )
    parts = [_part_mm(f"Wall {each.wall}", each.clearance_mm) for each in done.clearances or ()]
    return entry(healing, "clearances", {**resource, "component": parts})


def _observation(healing: HealingPlan, done: OperationRecord, words: str) -> Element:
    """Return an Observation without its value (R4: status and code 1..1)."""
    return {
        "resourceType": "Observation",
        "status": status_of(healing, done.operated_on.isoformat()),
        "code": concept(words),
        "subject": reference(healing, PATIENT),
        "partOf": [reference(healing, PROCEDURE)],
        "effectiveDateTime": done.operated_on.isoformat(),
    }


def _part_mm(words: str, size_mm: float) -> Element:
    return {"code": concept(words), "valueQuantity": quantity(size_mm, "mm")}


def _performed(healing: HealingPlan, done: OperationRecord) -> str:
    """Return what was done; the closure only if the record names the plan that is at hand."""
    if healing.plan is None or healing.plan.id != done.plan:
        return PERFORMED
    closure = healing.plan.closure
    side = f", flap from the {closure.donor_side}" if closure.donor_side else ""
    return f"{PERFORMED}. Planned closure: {closure.name}{side}"


def _note(healing: HealingPlan) -> Iterator[str]:
    if healing.note is None:
        return
    for section in healing.note.sections:
        yield f"{section.heading}: {' '.join(section.paragraphs)}"
    if healing.note.not_recorded:
        yield f"Not recorded: {', '.join(healing.note.not_recorded)}."
