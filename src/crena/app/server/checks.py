"""Checks of what is to be given, never a prescription; nothing of them is stored."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter
from pydantic import Field

from crena.healing.anaesthetic import (
    AnaestheticCheck,
    AnaestheticDose,
    LocalAnaesthetic,
    check_local_anaesthetics,
)
from crena.healing.dye import Dye, DyeCheck, check_dye
from crena.records import Answer, Between, Findings, Record

routes = APIRouter(prefix="/api/checks", tags=["checks"])

MOST_SOLUTIONS = 10

Volume = Annotated[float, Between(0.1, 300, "mL")]
Strength = Annotated[float, Between(0.01, 10, "%")]
Weight = Annotated[float, Between(20, 300, "kg")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution(Record):
    """One solution that is to be given, as typed."""

    drug: LocalAnaesthetic
    volume_ml: Volume
    concentration_percent: Strength
    adrenaline: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class AnaestheticQuestion(Record):
    """What is to be given in all, and to whom."""

    solutions: Annotated[tuple[Solution, ...], Field(min_length=1, max_length=MOST_SOLUTIONS)]
    weight_kg: Weight | None = None
    findings: Findings
    frail_heart_or_liver: Answer = Answer.NOT_ASKED


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeQuestion(Record):
    """Which dye is to be given, how much, and to whom."""

    dye: Dye
    volume_ml: Volume
    concentration_percent: Strength
    weight_kg: Weight | None = None
    findings: Findings


@routes.post("/anaesthetic")
def check_anaesthetic(asked: AnaestheticQuestion) -> AnaestheticCheck:
    """Hold local anaesthetics against their ceilings; refused until the allergy was asked for.

    Where it was not asked whether a solution holds adrenaline, the ceiling without it is used.
    """
    doses = [
        AnaestheticDose(
            drug=each.drug,
            volume_ml=each.volume_ml,
            concentration_percent=each.concentration_percent,
            adrenaline=each.adrenaline is Answer.YES,
        )
        for each in asked.solutions
    ]
    return check_local_anaesthetics(
        doses, asked.weight_kg, asked.findings, asked.frail_heart_or_liver
    )


@routes.post("/dye")
def check_of_dye(asked: DyeQuestion) -> DyeCheck:
    """Hold a dye against weight, drugs and conditions; refused until the allergy was asked for."""
    return check_dye(
        asked.dye, asked.volume_ml, asked.concentration_percent, asked.weight_kg, asked.findings
    )
