"""Local anaesthetics: a check of what is to be given against a ceiling, never a prescription."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, isfinite

from crena.healing.doses import known_weight_kg, refuse_impossible
from crena.records import Answer, Findings, InputError, Record
from crena.records.numbers import NEARLY_WHOLE
from crena.records.units import MG_PER_ML_PER_PERCENT

MARK = "teaching pages of low authority; label values from memory, to be checked by hand"
"""Where the ceilings stand."""

REDUCED_SHARE = 0.7
"""Of the ceiling when the patient is frail or has heart or liver disease (low authority)."""


class LocalAnaesthetic(StrEnum):
    """The drugs, by generic names."""

    LIDOCAINE = "lidocaine"
    BUPIVACAINE = "bupivacaine"
    LEVOBUPIVACAINE = "levobupivacaine"
    ROPIVACAINE = "ropivacaine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling(Record):
    """The most that is customary: by body weight, and for anyone."""

    plain_mg_per_kg: float
    plain_mg: float
    adrenaline_mg_per_kg: float
    adrenaline_mg: float


CEILINGS = {
    LocalAnaesthetic.LIDOCAINE: Ceiling(
        plain_mg_per_kg=4.5, plain_mg=300, adrenaline_mg_per_kg=7, adrenaline_mg=500
    ),
    LocalAnaesthetic.BUPIVACAINE: Ceiling(
        plain_mg_per_kg=2, plain_mg=175, adrenaline_mg_per_kg=3, adrenaline_mg=225
    ),
    LocalAnaesthetic.LEVOBUPIVACAINE: Ceiling(
        plain_mg_per_kg=2, plain_mg=150, adrenaline_mg_per_kg=2, adrenaline_mg=150
    ),
    LocalAnaesthetic.ROPIVACAINE: Ceiling(
        plain_mg_per_kg=2, plain_mg=200, adrenaline_mg_per_kg=3, adrenaline_mg=200
    ),
}
"""Where sources give a range, its lower end; without a figure for adrenaline, the plain one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnaestheticDose(Record):
    """One solution that is to be given, all of it together."""

    drug: LocalAnaesthetic
    volume_ml: float
    concentration_percent: float
    adrenaline: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AnaestheticCheck(Record):
    """The part of its ceiling that each solution uses, and their sum."""

    fractions: tuple[float, ...]  #: in the order of the doses
    sum_fraction: float
    sum_of_100: int | None  #: the same in whole hundredths, rounded up; none: not a number
    within: bool
    flags: tuple[str, ...]


def check_local_anaesthetics(
    doses: Sequence[AnaestheticDose],
    weight_kg: float | None,
    findings: Findings,
    frail_heart_or_liver: Answer,
) -> AnaestheticCheck:
    """Check solutions against their ceilings; the parts used add up.

    Parameters
    ----------
    doses : sequence of AnaestheticDose
        All that is to be given, in wound and block together.
    weight_kg : float
        Body weight; the ideal weight above a body mass index of 30.
    findings : Findings
        Holds the answer on allergy.
    frail_heart_or_liver : Answer
        Lowers the ceilings to 70 %, also while it was not asked.

    Raises
    ------
    InputError
        If an allergy to local anaesthetics was not asked for, or is known; if an amount or
        the weight is missing or cannot be meant.

    Notes
    -----
    Ceilings: see `MARK`.
    """
    _refuse_allergy(findings.allergies.local_anaesthetic)
    weight = known_weight_kg(weight_kg)
    fractions = [
        _given_mg(dose)
        / most_mg(dose.drug, weight, frail_heart_or_liver, adrenaline=dose.adrenaline)
        for dose in doses
    ]
    total = sum(fractions)
    return AnaestheticCheck(
        fractions=tuple(fractions),
        sum_fraction=total,
        sum_of_100=ceil(100 * total - NEARLY_WHOLE) if isfinite(total) else None,
        within=total <= 1,
        flags=(*_sum_flags(total), *_body_flags(frail_heart_or_liver), f"Ceilings: {MARK}."),
    )


def most_mg(
    drug: LocalAnaesthetic,
    weight_kg: float,
    frail_heart_or_liver: Answer,
    *,
    adrenaline: bool = False,
) -> float:
    """Return the ceiling of one drug for one body, mg.

    >>> most_mg(LocalAnaesthetic.LIDOCAINE, 70, Answer.NO)
    300
    >>> most_mg(LocalAnaesthetic.LIDOCAINE, 70, Answer.NO, adrenaline=True)
    490
    """
    row = CEILINGS[drug]
    if adrenaline:
        most = min(row.adrenaline_mg_per_kg * weight_kg, row.adrenaline_mg)
    else:
        most = min(row.plain_mg_per_kg * weight_kg, row.plain_mg)
    return most if frail_heart_or_liver is Answer.NO else REDUCED_SHARE * most


def _given_mg(dose: AnaestheticDose) -> float:
    refuse_impossible(dose.volume_ml, dose.concentration_percent)
    return dose.volume_ml * dose.concentration_percent * MG_PER_ML_PER_PERCENT


def _refuse_allergy(answer: Answer) -> None:
    if answer is Answer.YES:
        raise InputError("An allergy to local anaesthetic is known. Settle which drug is safe.")
    if answer is Answer.NOT_ASKED:
        raise InputError(
            "Allergy to local anaesthetic was not asked. Ask before any of it is drawn up."
        )


def _sum_flags(total: float) -> list[str]:
    """Return what the sum says; a sum that is not a number is too much."""
    if total <= 1:
        return []
    return [f"Together {100 * total:.0f} % of what is customary at most. Give less."]


def _body_flags(frail_heart_or_liver: Answer) -> list[str]:
    flags = ["Above a body mass index of 30 the ideal weight counts."]
    if frail_heart_or_liver is Answer.NOT_ASKED:
        flags.append("Not asked: frailty, heart or liver disease. The lower ceiling is used.")
    if frail_heart_or_liver is Answer.YES:
        flags.append("Frail, or heart or liver disease: the ceiling is 70 %.")
    return flags
