"""The sheets in FHIR R4: which they were, told by their hash, without their content."""

import hashlib
from base64 import b64encode

from crena.exchange.fhir_elements import Element
from crena.exchange.fhir_entries import entry, reference
from crena.exchange.fhir_patient import PATIENT
from crena.records import HealingPlan

CONTENT_TYPES = {
    "dxf": "image/vnd.dxf",
    "ics": "text/calendar",
    "json": "application/json",
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "txt": "text/plain",
}
"""By the end of a file's name (media types registered with IANA)."""

UNKNOWN_TYPE = "application/octet-stream"


def document_reference(healing: HealingPlan, name: str, content: bytes, made_at: str) -> Element:
    """Return a DocumentReference to one sheet, which no one has signed yet.

    Notes
    -----
    R4, DocumentReference: status 1..1, content 1..*, attachment 1..1. An Attachment's hash is
    the SHA-1 of the content, in base64; it tells two files apart and protects none. Without
    data and URL the sheet itself lies elsewhere.
    """
    attachment = {
        "contentType": CONTENT_TYPES.get(name.rpartition(".")[2].lower(), UNKNOWN_TYPE),
        "title": name,
        "size": len(content),
        "hash": b64encode(hashlib.sha1(content, usedforsecurity=False).digest()).decode(),
    }
    resource = {
        "resourceType": "DocumentReference",
        "status": "current",
        "docStatus": "preliminary",
        "subject": reference(healing, PATIENT),
        "date": made_at,
        "content": [{"attachment": attachment}],
    }
    return entry(healing, f"document {name}", resource)
