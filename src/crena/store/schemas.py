"""Saved dossiers of earlier versions: one small step from each version to the next."""

from collections.abc import Callable
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from crena.records import DOSSIER_SCHEMA, CrenaError, Dossier

DOSSIERS: Final = TypeAdapter(Dossier)

STEPS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""From the schema that a step reads to the step; it gives the next schema. None so far."""


def dossier_from(raw: dict[str, Any]) -> Dossier:
    """Return a saved dossier, whatever version it was saved by.

    Parameters
    ----------
    raw : dict
        As it was stored.

    Raises
    ------
    CrenaError
        If its version is not known here, or it does not fit its version.
    """
    while raw.get("schema") in STEPS:
        raw = STEPS[raw["schema"]](raw)
    if raw.get("schema") != DOSSIER_SCHEMA:
        raise CrenaError(
            f"This case was saved as {raw.get('schema')}; {DOSSIER_SCHEMA} is read here. Use the "
            "newer program that saved it."
        )
    try:
        return DOSSIERS.validate_python(raw)
    except ValidationError as error:
        where = ".".join(str(step) for step in error.errors()[0]["loc"])
        raise CrenaError(f"The saved case does not fit {DOSSIER_SCHEMA} at {where}.") from None
