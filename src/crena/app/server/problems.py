"""Every refusal as a problem detail (RFC 9457): one plain sentence, never a trace."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from crena.app.case_files import MOST_FAULTS, fault_sentence, field_sentence
from crena.records import (
    ConflictError,
    CrenaError,
    InputError,
    MissingError,
    NoPlanError,
    Record,
    RightsError,
)

PROBLEM_TYPE = "application/problem+json"

STATUS = {
    MissingError: 404,
    RightsError: 403,
    ConflictError: 409,
    InputError: 422,
    NoPlanError: 422,
    CrenaError: 500,
}
"""By the kind of an error, the most special first."""

SENTENCES = {
    401: "You are not logged in here. Open the address that the program printed.",
    404: "There is nothing at this address.",
    405: "This cannot be done at this address.",
    500: "The server could not do this. Nothing was changed; try again.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryFault(Record):
    """One entry that was refused."""

    entry: str  #: its name in the body
    sentence: str  #: what is wrong and what to do next
    code: str  #: key of the page's own words for it
    figures: dict[str, str] = field(default_factory=dict)  #: what those words are filled with


class EntryError(InputError):
    """Entries that contradict the case, each with its own sentence."""

    def __init__(self, faults: Sequence[EntryFault]) -> None:
        """Keep at least one fault; the message is all their sentences."""
        super().__init__(" ".join(fault.sentence for fault in faults))
        self.faults = tuple(faults)


class Problem(BaseModel):
    """What a refusal says."""

    title: str
    status: int
    detail: str
    errors: list[dict[str, Any]] = []


def problem(status: int, detail: str, errors: list[dict[str, Any]] | None = None) -> Response:
    """Return a refusal; what was sent is quoted also where it is half a sign."""
    content = Problem(
        title=HTTPStatus(status).phrase, status=status, detail=detail, errors=errors or []
    )
    text = json.dumps(content.model_dump(), ensure_ascii=False, separators=(",", ":"))
    return Response(text.encode("utf-8", "backslashreplace"), status, media_type=PROBLEM_TYPE)


def add_problems(app: FastAPI) -> None:
    """Turn every error into a problem detail."""
    app.add_exception_handler(CrenaError, _of_ours)
    app.add_exception_handler(EntryError, _of_entries)
    app.add_exception_handler(RequestValidationError, _of_a_body)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(Exception, _of_a_fault)


def _of_ours(_: Request, error: Exception) -> Response:
    status = next(status for kind, status in STATUS.items() if isinstance(error, kind))
    return problem(status, str(error))


def _of_entries(_: Request, error: Exception) -> Response:
    faults = error.faults if isinstance(error, EntryError) else ()
    places = [
        {
            "loc": ["body", each.entry],
            "detail": each.sentence,
            "code": each.code,
            "figures": each.figures,
        }
        for each in faults
    ]
    return problem(422, str(error), places)


def _of_a_body(_: Request, error: Exception) -> Response:
    faults = error.errors() if isinstance(error, RequestValidationError) else []
    sentences = [fault_sentence(_inner(fault)) for fault in faults]
    places = [
        {"loc": list(fault["loc"]), "detail": field_sentence(_inner(fault))} for fault in faults
    ]
    return problem(422, " ".join(dict.fromkeys(sentences[:MOST_FAULTS])), places)


def _inner(fault: Any) -> dict[str, Any]:
    """Return a fault with its place inside the body."""
    return {**fault, "loc": fault["loc"][1:], "input": fault.get("input")}


def _of_http(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    return problem(status, SENTENCES.get(status, HTTPStatus(status).phrase + "."))


def _of_a_fault(_: Request, error: Exception) -> Response:
    return problem(500, SENTENCES[500])
