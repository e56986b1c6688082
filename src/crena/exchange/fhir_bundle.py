"""Health records: one case as a Bundle of FHIR R4, for the records of a clinic."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

from crena.exchange.fhir_documents import document_reference
from crena.exchange.fhir_drain import drain_entries
from crena.exchange.fhir_elements import Element, canonical_json
from crena.exchange.fhir_entries import identity
from crena.exchange.fhir_operation import operation_entries
from crena.exchange.fhir_patient import URI, imaging_study, patient
from crena.exchange.fhir_schedule import care_plan
from crena.records import HealingPlan, InputError


def fhir_bundle(
    healing: HealingPlan,
    *,
    made_at: datetime,
    study_uid: str | None = None,
    documents: Mapping[str, bytes] | None = None,
    patient_identifier: str = "",
) -> bytes:
    """Return what is known of a case as a FHIR Bundle.

    Parameters
    ----------
    healing : HealingPlan
        What was not recorded in it is left out and never guessed.
    made_at : datetime
        When the Bundle is made, in UTC.
    study_uid : str, optional
        Study Instance UID of the scan.
    documents : mapping of str to bytes, optional
        The sheets by file name; name, size and hash are written, not the content.
    patient_identifier : str
        The patient's number in the clinic, only if it may leave the clinic. No name, no birth
        date and no case label is written.

    Returns
    -------
    bytes
        Canonical JSON. The same case keeps the identity of each part, so that a later Bundle
        replaces it; the Bundle's own identity holds the time as well.

    Raises
    ------
    InputError
        If `made_at` is not in UTC, or `study_uid` is no DICOM identifier.

    Notes
    -----
    HL7 FHIR R4 (4.0.1). Bundle: type 1..1, a collection; each fullUrl once (bdl-7) and no
    version in it (bdl-8). Reference: every one is the fullUrl of an entry. Data types: a day
    without hour is a dateTime, the time of making an instant with its zone; nothing is
    empty (ele-1). Status words are of the value sets that their elements are bound to. No
    code is given for illness, operation or measure: words stand for them. What a resource
    demands stands at the function that makes it.
    """
    stamp = _instant(made_at)
    entries = list(_entries(healing, study_uid, patient_identifier))
    for name, content in sorted((documents or {}).items()):
        entries.append(document_reference(healing, name, content, stamp))
    return canonical_json(
        {
            "resourceType": "Bundle",
            "type": "collection",
            "identifier": {"system": URI, "value": identity(healing, f"bundle {stamp}")},
            "timestamp": stamp,
            "entry": entries,
        }
    )


def _entries(
    healing: HealingPlan, study_uid: str | None, patient_identifier: str
) -> Iterator[Element]:
    yield patient(healing, patient_identifier)
    if study_uid is not None:
        yield imaging_study(healing, study_uid)
    yield from operation_entries(healing)
    yield from drain_entries(healing)
    if healing.schedule is not None:
        yield care_plan(healing, healing.schedule)


def _instant(made_at: datetime) -> str:
    if made_at.utcoffset() != timedelta(0):
        raise InputError("The time at which a health record is made must be in UTC.")
    return f"{made_at.replace(microsecond=0, tzinfo=None).isoformat()}Z"
