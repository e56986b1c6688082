"""Every refusal as a problem detail (RFC 9457): one plain sentence, never a trace."""

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from crena.app.case_files import MOST_FAULTS, fault_sentence
from crena.records import (
    ConflictError,
    CrenaError,
    InputError,
    MissingError,
    NoPlanError,
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


class Problem(BaseModel):
    """What a refusal says."""

    title: str
    status: int
    detail: str
    errors: list[dict[str, Any]] = []


def problem(status: int, detail: str, errors: list[dict[str, Any]] | None = None) -> JSONResponse:
    """Return a refusal."""
    content = Problem(
        title=HTTPStatus(status).phrase, status=status, detail=detail, errors=errors or []
    )
    return JSONResponse(content.model_dump(), status, media_type=PROBLEM_TYPE)


def add_problems(app: FastAPI) -> None:
    """Turn every error into a problem detail."""
    app.add_exception_handler(CrenaError, _of_ours)
    app.add_exception_handler(RequestValidationError, _of_a_body)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(Exception, _of_a_fault)


def _of_ours(_: Request, error: Exception) -> JSONResponse:
    status = next(status for kind, status in STATUS.items() if isinstance(error, kind))
    return problem(status, str(error))


def _of_a_body(_: Request, error: Exception) -> JSONResponse:
    faults = error.errors() if isinstance(error, RequestValidationError) else []
    sentences = [_sentence(fault) for fault in faults]
    places = [
        {"loc": list(fault["loc"]), "detail": sentence}
        for fault, sentence in zip(faults, sentences, strict=True)
    ]
    return problem(422, " ".join(dict.fromkeys(sentences[:MOST_FAULTS])), places)


def _sentence(fault: Any) -> str:
    return fault_sentence({**fault, "loc": fault["loc"][1:], "input": fault.get("input")})


def _of_http(_: Request, error: Exception) -> JSONResponse:
    status = error.status_code if isinstance(error, HTTPException) else 500
    return problem(status, SENTENCES.get(status, HTTPStatus(status).phrase + "."))


def _of_a_fault(_: Request, error: Exception) -> JSONResponse:
    return problem(500, SENTENCES[500])
