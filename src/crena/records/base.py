"""What every record shares, and the ranges that its numbers must keep."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from crena.records.errors import InputError
from crena.records.numbers import number_from


class Record:
    """Mark a frozen dataclass as one of Crena's nouns.

    The settings tell whoever reads a record from outside to refuse unknown keys, NaN and
    infinity; pydantic looks them up by this name, so the records need not import it.
    """

    __slots__ = ()
    __pydantic_config__: ClassVar[dict[str, object]] = {"extra": "forbid", "allow_inf_nan": False}


@dataclass(frozen=True, slots=True)
class Between:
    """The closed range that a number must keep, with its unit for the sentence that says so.

    It is written in ``Annotated``; pydantic finds the method below by its name, adds the
    range to its own check and to the published schema, and reads numbers typed as text
    with the one parser.
    """

    low: float
    high: float
    unit: str = ""

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Any]
    ) -> dict[str, Any]:
        ranged = {**handler(source), "ge": self.low, "le": self.high}
        reader = {"type": "no-info", "function": _plain_number}
        return {"type": "function-before", "function": reader, "schema": ranged}


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A day of the calendar, written like 2026-11-25 and in no other way."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Any]
    ) -> dict[str, Any]:
        reader = {"type": "no-info", "function": _plain_day}
        return {"type": "function-before", "function": reader, "schema": handler(source)}


def _plain_day(written: object) -> object:
    if isinstance(written, date) or written is None:
        return written
    try:
        if isinstance(written, str) and len(written) == len("2026-11-25"):
            return date.fromisoformat(written)
    except ValueError:
        pass
    raise ValueError("Write a day like 2026-11-25.")


def _plain_number(typed: object) -> object:
    if isinstance(typed, bool):
        raise ValueError("Yes or no is not a number.")
    if not isinstance(typed, str):
        return typed
    try:
        return number_from(typed)
    except InputError as refusal:
        raise ValueError(str(refusal)) from None
