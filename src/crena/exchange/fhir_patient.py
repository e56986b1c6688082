"""The patient and the scan in FHIR R4, with no more of either than is needed."""

import re

from crena.exchange.fhir_elements import Element
from crena.exchange.fhir_entries import entry, identity, reference
from crena.records import HealingPlan, InputError

PATIENT = "patient"

URI = "urn:ietf:rfc:3986"
"""The system of identifiers that are URIs (FHIR R4, Identifier.system)."""

LONGEST_UID = 64
"""Signs in a DICOM identifier (DICOM PS3.5, section 9.1)."""

_UID = re.compile(r"[0-2](\.(0|[1-9][0-9]*))+", re.ASCII)


def patient(healing: HealingPlan, identifier: str) -> Element:
    """Return the Patient without name, birth date and sex (R4: nothing is mandatory).

    The case label may hold a name, so it is not written; the receiver joins the record to a
    patient by the identifier given here, or by hand.
    """
    own = {"use": "temp", "system": URI, "value": identity(healing, PATIENT)}
    given = {"value": identifier}
    return entry(healing, PATIENT, {"resourceType": "Patient", "identifier": [own, given]})


def imaging_study(healing: HealingPlan, study_uid: str) -> Element:
    """Return the ImagingStudy that a Study Instance UID names.

    Raises
    ------
    InputError
        If it is not an identifier of DICOM.

    Notes
    -----
    R4, ImagingStudy: status and subject 1..1; a study is named by its OID as URN in the
    system urn:dicom:uid. Whether the images can be had where this is read is not known here.
    """
    if not _UID.fullmatch(study_uid) or len(study_uid) > LONGEST_UID:
        raise InputError(
            f"“{study_uid[:LONGEST_UID]}” is not a Study Instance UID: numbers with points, at "
            f"most {LONGEST_UID} signs. Take it from the scan."
        )
    resource = {
        "resourceType": "ImagingStudy",
        "status": "unknown",
        "subject": reference(healing, PATIENT),
        "identifier": [{"system": "urn:dicom:uid", "value": f"urn:oid:{study_uid}"}],
    }
    return entry(healing, "imaging study", resource)
