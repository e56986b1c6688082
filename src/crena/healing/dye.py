"""Methylene blue: a check of dose and interactions, never a prescription."""

from dataclasses import dataclass

from crena.records import Answer, Findings, InputError, Record
from crena.records.units import dose_mg_per_kg

INHIBITS_FROM_MG_PER_KG = 0.75
"""Monoamine oxidase A is inhibited from this intravenous dose (review of 26 cases, 2010)."""

MOST_MG_PER_KG = 7.0
"""Total dose not to pass (low-authority pages; follow local rules)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeCheck(Record):
    """What the dose amounts to, and what speaks against it."""

    dose_ratio: float  #: mg for each kg of body weight
    flags: tuple[str, ...]


def check_methylene_blue(
    volume_ml: float, concentration_percent: float, weight_kg: float, findings: Findings
) -> DyeCheck:
    """Check a dose of methylene blue against weight, drugs and conditions.

    Parameters
    ----------
    volume_ml, concentration_percent, weight_kg : float
        What is to be given, and to whom; 1 % holds 10 mg in each mL.
    findings : Findings
        Allergies and drugs, each asked or not.

    Raises
    ------
    InputError
        If an allergy to dye was not asked for, or is known.
    """
    _refuse_allergy(findings.allergies.dye)
    dose = dose_mg_per_kg(volume_ml, concentration_percent, weight_kg)
    return DyeCheck(dose_ratio=dose, flags=(*_drug_flags(findings), *_dose_flags(dose)))


def _refuse_allergy(answer: Answer) -> None:
    if answer is Answer.YES:
        raise InputError("An allergy to dye is known: no dye step.")
    if answer is Answer.NOT_ASKED:
        raise InputError("Allergy to dye was not asked. Ask before any dye is drawn up.")


def _drug_flags(findings: Findings) -> list[str]:
    asked = {
        "a serotonergic drug: serotonin toxicity at any dose": findings.drugs.serotonergic,
        "G6PD deficiency: haemolysis": findings.drugs.g6pd_deficiency,
        "pregnancy": findings.drugs.pregnancy,
    }
    present = [f"Takes or has {w}." for w, a in asked.items() if a is Answer.YES]
    return present + [f"Not asked: {w}." for w, a in asked.items() if a is Answer.NOT_ASKED]


def _dose_flags(dose: float) -> list[str]:
    flags = ["The pulse oximeter will read falsely low for a while."]
    if not dose < INHIBITS_FROM_MG_PER_KG:
        flags.append(f"{dose:.2f} mg/kg inhibits monoamine oxidase A if it all enters the blood.")
    if not dose <= MOST_MG_PER_KG:
        flags.append(f"{dose:.1f} mg/kg is above {MOST_MG_PER_KG:.0f} mg/kg.")
    return flags
