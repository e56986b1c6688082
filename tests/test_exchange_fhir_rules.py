"""Bundles held against FHIR R4: by an independent library, and by rules typed out of it."""

import copy
import json
import random
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from fhir.resources.R4B.bundle import Bundle
from sample_healing import sample_healing, sample_operation

from crena.exchange.fhir_bundle import fhir_bundle
from crena.healing.operation_note import operation_note
from crena.healing.schedule import schedule
from crena.records import DrainRead, OwnDay, ScheduleSettings, WallClearance

MADE_AT = datetime(2026, 11, 30, 13, 5, 9, tzinfo=UTC)
SHEETS = {"ward-card.pdf": b"abc", "note.txt": b"", "odd": b"\x00"}
STUDY = "1.2.840.99999.1.20261121"
HARD = "„Hälfte“ \\ 日本語 \x07\x00\u2028\ud800 <b>&\r\n\t"

EVENT = "preparation in-progress not-done on-hold stopped completed entered-in-error unknown"
REQUEST = "draft active on-hold revoked completed entered-in-error unknown"
ACTIVITY = (
    "not-started scheduled in-progress on-hold completed cancelled stopped unknown entered-in-error"
)
OBSERVATION = "registered preliminary final amended corrected cancelled entered-in-error unknown"
WORDS = {
    "Bundle.type": (
        "document message transaction transaction-response batch batch-response history searchset "
        "collection"
    ),  # value set bundle-type
    "Procedure.status": EVENT,  # event-status
    "Observation.status": OBSERVATION,  # observation-status
    "CarePlan.status": REQUEST,  # request-status
    "CarePlan.intent": "proposal plan order option",  # care-plan-intent
    "CarePlan.activity.detail.status": ACTIVITY,  # care-plan-activity-status
    "ImagingStudy.status": "registered available cancelled entered-in-error unknown",
    "DocumentReference.status": "current superseded entered-in-error",
    "DocumentReference.docStatus": "preliminary final amended entered-in-error",
    "Patient.identifier.use": "usual official temp secondary old",  # identifier-use
}
"""The value sets with binding "required", R4 4.0.1."""

DEMANDED = {
    "Bundle": {"type"},
    "Patient": set(),
    "Procedure": {"status", "subject"},
    "Observation": {"status", "code"},
    "CarePlan": {"status", "intent", "subject"},
    "ImagingStudy": {"status", "subject"},
    "DocumentReference": {"status", "content"},
}
"""Elements with cardinality 1..1 or 1..*, R4 4.0.1."""

TARGETS = {
    "subject": {"Patient"},
    "partOf": {"Procedure"},
    "supportingInfo": {"Procedure"},
}
"""What each reference that is made here may point to."""

YEAR = r"([0-9]([0-9]([0-9][1-9]|[1-9]0)|[1-9]00)|[1-9]000)"
MONTH, DAY = r"(0[1-9]|1[0-2])", r"(0[1-9]|[1-2][0-9]|3[0-1])"
CLOCK = r"([01][0-9]|2[0-3]):[0-5][0-9]:([0-5][0-9]|60)(\.[0-9]+)?"
ZONE = r"(Z|(\+|-)((0[0-9]|1[0-3]):[0-5][0-9]|14:00))"
DATE_TIME = re.compile(f"{YEAR}(-{MONTH}(-{DAY}(T{CLOCK}{ZONE})?)?)?")
INSTANT = re.compile(f"{YEAR}-{MONTH}-{DAY}T{CLOCK}{ZONE}")
"""The regular expressions of R4, Data types."""

DATE_TIMES = {"performedDateTime", "effectiveDateTime", "created", "start", "end", "event"}
INSTANTS = {"timestamp", "date"}
UNITS = {"mm", "g", "mL", "mL/d"}


def parts(value, path):
    """Yield every value with the names that lead to it; a list adds none."""
    yield path, value
    if isinstance(value, dict):
        for name, part in value.items():
            yield from parts(part, f"{path}.{name}")
    if isinstance(value, list):
        for part in value:
            yield from parts(part, path)


def faults(bundle):
    """Return what is wrong with a Bundle."""
    kinds = {each["fullUrl"]: each["resource"]["resourceType"] for each in bundle["entry"]}
    found = [] if len(kinds) == len(bundle["entry"]) else ["bdl-7: a fullUrl stands twice"]
    found += [
        f"{url} is no UUID" for url in kinds if not re.fullmatch(r"urn:uuid:[0-9a-f-]{36}", url)
    ]
    head = {name: part for name, part in bundle.items() if name != "entry"}
    for resource in [head, *(each["resource"] for each in bundle["entry"])]:
        kind = resource["resourceType"]
        found += [f"{kind} lacks {name}" for name in DEMANDED[kind] - resource.keys()]
        for path, value in parts(resource, kind):
            found += [*text_faults(path, value), *element_faults(path, value, kinds)]
    return found


def text_faults(path, value):
    name = path.rpartition(".")[2]
    if value in ("", [], {}, None):
        yield f"{path} is empty"
    if not isinstance(value, str):
        return
    if not re.fullmatch(r"[ \r\n\t\S]+", value) or re.search(
        r"[\x00-\x08\x0b\x0c\x0e-\x1f]", value
    ):
        yield f"{path} holds a sign that no string may hold"
    if path in WORDS and value not in WORDS[path].split():
        yield f"{path}: {value} is not of its value set"
    if name in DATE_TIMES and not DATE_TIME.fullmatch(value):
        yield f"{path}: {value} is no dateTime"
    if name in INSTANTS and not INSTANT.fullmatch(value):
        yield f"{path}: {value} is no instant"


def element_faults(path, value, kinds):
    name = path.rpartition(".")[2]
    if not isinstance(value, dict):
        return
    if "reference" in value and kinds.get(value["reference"]) not in TARGETS[name]:
        yield f"{path} points to nothing that it may point to"
    if name == "valueQuantity" and not (
        value["system"] == "http://unitsofmeasure.org" and value["code"] in UNITS
    ):
        yield f"{path} has no unit of UCUM"
    if name == "Observation" and ("valueQuantity" in value) + ("component" in value) != (
        "dataAbsentReason" not in value
    ):
        yield "obs-6: either a value or a reason"
    if name == "activity" and value.keys() != {"detail"}:
        yield "cpl-3: a detail or a reference"
    if name == "detail" and "status" not in value:
        yield "an activity's detail lacks its status"
    if {"start", "end"} <= value.keys() and value["start"] > value["end"]:
        yield "per-1: ends before it begins"


def written(healing=None, **given):
    options = {"made_at": MADE_AT, "study_uid": STUDY, "documents": SHEETS, **given}
    return json.loads(fhir_bundle(healing or sample_healing(), **options))


def test_the_whole_bundle_is_valid():
    bundle = written()
    assert faults(bundle) == []
    read = Bundle.model_validate(bundle)
    kinds = [each.resource.get_resource_type() for each in read.entry]
    assert set(kinds) == DEMANDED.keys() - {"Bundle"}


def test_a_bundle_made_before_the_operation_is_valid():
    bundle = written(sample_healing(made_on="2026-11-25"))
    assert faults(bundle) == []
    assert of_kind(bundle, "Procedure")["status"] == "preparation"


def random_healing(draw):
    """Return a plan of which any part may be missing, with hard texts and odd days."""
    keep = {"operated_on": date(1990, 1, 1) + timedelta(days=draw.randrange(20_000))}
    whole = sample_operation(
        blood_loss_ml=draw.choice([0.0, 12.5, 300.0]), specimen_depth_mm=20.25, note=HARD,
        clearances=tuple(WallClearance(wall=w, clearance_mm=0.0) for w in ("A", "A", "", HARD)),
    )  # fmt: skip
    gaps = [name for name in MEASURES if draw.random() < 0.5]
    done = replace(whole, **keep, **{name: None for name in gaps}, plan=draw.choice(["A", "B", ""]))
    own = OwnDay(code="sport", on=done.operated_on - timedelta(days=draw.randrange(400)))
    days = schedule(done.operated_on, ScheduleSettings(own_days=(own,)))
    missing = {
        name: None for name in ("plan", "operation", "note", "schedule") if draw.random() < 0.3
    }
    changes = {
        "operation": done,
        "note": replace(operation_note(replace(done, plan="")), not_recorded=()),
        "schedule": replace(days, entries=days.entries[: draw.randrange(25)]),
        "drain_days": tuple(random_reading(draw) for _ in range(draw.randrange(6))),
        "code": draw.choice(["", "7F3A 91C2"]),
        "allergies": draw.choice(["", HARD]),
        "cautions": draw.choice([(), ("", HARD)]),
    }
    return sample_healing(**changes | missing)


MEASURES = (
    "blood_loss_ml", "specimen_weight_g", "specimen_length_mm", "specimen_width_mm",
    "specimen_depth_mm", "clearances",
)  # fmt: skip


def random_reading(draw):
    volume_ml = draw.choice([None, 0.0, 1000.0, draw.random() * 100])
    return DrainRead(day=draw.randrange(4), ml_per_day=volume_ml, counts=draw.random() < 0.5)


def test_two_hundred_plans_with_missing_parts_are_valid():
    draw = random.Random(20261126)
    kinds = set()
    for _ in range(200):
        study = draw.choice([None, STUDY])
        bundle = written(
            random_healing(draw), study_uid=study, documents=draw.choice([None, SHEETS])
        )
        assert faults(bundle) == []
        Bundle.model_validate(bundle)
        kinds.add(tuple(sorted({each["resource"]["resourceType"] for each in bundle["entry"]})))
    assert len(kinds) > 20


def of_kind(bundle, kind):
    return next(e["resource"] for e in bundle["entry"] if e["resource"]["resourceType"] == kind)


PLANTED = {
    "no status": lambda b: of_kind(b, "Procedure").pop("status"),
    "a status of R5 only": lambda b: of_kind(b, "Observation").update(status="cannot-be-obtained"),
    "a word of another set": lambda b: of_kind(b, "CarePlan").update(intent="completed"),
    "an activity without status": lambda b: of_kind(b, "CarePlan")["activity"][0]["detail"].pop(
        "status"
    ),
    "a lost patient": lambda b: b["entry"].pop(0),
    "a part twice": lambda b: b["entry"].append(b["entry"][-1]),
    "an hour without zone": lambda b: of_kind(b, "Procedure").update(
        performedDateTime="2026-11-26T08:00:00"
    ),
    "a day as instant": lambda b: b.update(timestamp="2026-11-30"),
    "a day turned round": lambda b: of_kind(b, "CarePlan").update(created="30-11-2026"),
    "a unit's bare name": lambda b: of_kind(b, "Observation")["valueQuantity"].update(code="gram"),
    "value and reason": lambda b: of_kind(b, "Observation").update(dataAbsentReason={"text": "x"}),
    "an empty text": lambda b: of_kind(b, "Procedure").update(code={"text": ""}),
    "a bell": lambda b: of_kind(b, "Procedure").update(code={"text": "\x07"}),
    "a wrong target": lambda b: of_kind(b, "Procedure").update(
        subject={"reference": b["entry"][2]["fullUrl"]}
    ),
}


@pytest.mark.parametrize("plant", PLANTED.values(), ids=PLANTED)
def test_each_planted_fault_is_found(plant):
    bundle = copy.deepcopy(written())
    plant(bundle)
    assert faults(bundle)
