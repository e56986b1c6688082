"""Entries of a FHIR Bundle: the same case gives the same part the same identity again."""

from uuid import NAMESPACE_URL, uuid5

from crena.exchange.fhir_elements import Element
from crena.records import HEALING_SCHEMA, HealingPlan

SPACE = uuid5(NAMESPACE_URL, HEALING_SCHEMA)
"""The space in which the identities are names (RFC 9562, section 5.5)."""


def identity(healing: HealingPlan, role: str) -> str:
    """Return the name by which one part of this case is known.

    Parameters
    ----------
    healing : HealingPlan
        Plan code and label tell the case; without a plan code the operation's day joins the
        label, so that two patients without a plan are never taken for one.
    role : str
        What the part is within the case.

    Returns
    -------
    str
        A UUID of version 5 as URN. The label does not stand in it, but whoever guesses label
        and plan code can check the guess.
    """
    operated_on = healing.operation.operated_on.isoformat() if healing.operation else ""
    words = (healing.code or operated_on, healing.case_label, role)
    return uuid5(SPACE, "\x1f".join(words)).urn


def is_ahead(healing: HealingPlan, on: str | None) -> bool:
    """Return whether a day lies after the one on which the plan was made; no day does not."""
    return on is not None and on > healing.made_on


def status_of(healing: HealingPlan, on: str | None) -> str:
    """Return how far an Observation of that day is (R4, value set observation-status)."""
    return "preliminary" if is_ahead(healing, on) else "final"


def entry(healing: HealingPlan, role: str, resource: Element) -> Element:
    """Return a resource under its identity (FHIR R4, Bundle.entry.fullUrl)."""
    return {"fullUrl": identity(healing, role), "resource": resource}


def reference(healing: HealingPlan, role: str) -> Element:
    """Return the Reference to another part of the same case."""
    return {"reference": identity(healing, role)}
