"""Typed numbers, read by the one parser."""

from fastapi import APIRouter
from pydantic import BaseModel, Field

from crena.records import InputError
from crena.records.numbers import number_from

routes = APIRouter(prefix="/api/numbers", tags=["numbers"])

MOST_AT_ONCE = 1000


class Typed(BaseModel):
    """What was typed."""

    texts: list[str] = Field(max_length=MOST_AT_ONCE)


class ReadNumber(BaseModel):
    """A number, or why it is none."""

    value: float | None
    reason: str


@routes.post("")
def read_numbers(typed: Typed) -> list[ReadNumber]:
    """Read numbers as people write them: 12.5 and 12,5 are the same, 1.234,5 is refused."""
    return [_read(text) for text in typed.texts]


def _read(text: str) -> ReadNumber:
    try:
        return ReadNumber(value=number_from(text), reason="")
    except InputError as refusal:
        return ReadNumber(value=None, reason=str(refusal))
