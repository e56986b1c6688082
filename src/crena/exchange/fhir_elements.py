"""The small parts that FHIR resources are made of: names, quantities, notes, and their bytes."""

import json
from collections.abc import Iterable
from typing import Any

Element = dict[str, Any]
"""A resource or a part of one, as it stands in JSON; what is None or empty is left out."""

UCUM = "http://unitsofmeasure.org"
"""The system of unit codes (FHIR R4, Quantity)."""


def concept(text: str) -> Element:
    """Return a CodeableConcept of words alone: no code is given that was not certain."""
    return {"text": text}


def quantity(value: float, unit: str) -> Element:
    """Return a Quantity in a UCUM unit (FHIR R4, qty-3: a code has its system).

    >>> quantity(120.0, "mm")["value"], quantity(12.5, "mL")["value"]
    (120, 12.5)
    """
    number = int(value) if float(value).is_integer() else value
    return {"value": number, "unit": unit, "system": UCUM, "code": unit}


def notes(*texts: str) -> list[Element]:
    """Return one Annotation for each different text."""
    return [{"text": text} for text in dict.fromkeys(texts)]


def canonical_json(element: Element) -> bytes:
    """Return an element as canonical JSON: sorted names, no blanks between.

    Parameters
    ----------
    element : Element
        What is None or empty in it is left out: nothing in FHIR may be empty.

    Returns
    -------
    bytes
        UTF-8. Blanks and line ends within a text are single spaces, and signs below U+0020,
        which FHIR forbids, are gone.

    Notes
    -----
    FHIR R4, JSON representation; its section 2.6.2.6 is the canonical form.

    Examples
    --------
    >>> canonical_json({"b": " two  words", "a": 1, "c": [{}], "d": None})
    b'{"a":1,"b":"two words"}'
    """
    kept = _kept(element)
    written = json.dumps(
        kept, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return written.encode()


def _kept(value: Any) -> Any:
    """Return a value without what is empty in it; None if nothing is left."""
    if isinstance(value, dict):
        named = ((name, _kept(part)) for name, part in value.items())
        return {name: part for name, part in named if part is not None} or None
    if isinstance(value, list):
        return _present(_kept(part) for part in value) or None
    if isinstance(value, str):
        return _plain(value) or None
    return value


def _present(parts: Iterable[Any]) -> list[Any]:
    return [part for part in parts if part is not None]


def _plain(text: str) -> str:
    signs = "".join(sign if sign >= " " else " " for sign in text)
    return " ".join(signs.encode(errors="replace").decode().split())
