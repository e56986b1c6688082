"""Blue dyes: a check of dose and interactions, never a prescription."""

from dataclasses import dataclass
from enum import StrEnum

from crena.healing.doses import known_weight_kg, refuse_impossible
from crena.records import Answer, Drugs, Findings, InputError, Record
from crena.records.units import dose_mg_per_kg

INHIBITS_FROM_MG_PER_KG = 0.75
"""Monoamine oxidase A is inhibited from this intravenous dose (review of 26 cases, 2010)."""

MOST_MG_PER_KG = 7.0
"""Total dose not to pass (low-authority pages; follow local rules)."""


class Dye(StrEnum):
    """The dyes, by their full generic names, which are easily taken for each other."""

    METHYLENE_BLUE = "methylene blue"
    PATENT_BLUE_V = "patent blue V"
    ISOSULFAN_BLUE = "isosulfan blue"


INTERACTIONS: dict[Dye, dict[str, str]] = {
    Dye.METHYLENE_BLUE: {
        "serotonergic": "a serotonergic drug: serotonin toxicity at any dose",
        "g6pd_deficiency": "G6PD deficiency: haemolysis",
        "pregnancy": "pregnancy",
    },
    Dye.PATENT_BLUE_V: {"pregnancy": "pregnancy"},
    Dye.ISOSULFAN_BLUE: {"pregnancy": "pregnancy"},
}
"""By the name of the answer: what speaks against the dye."""

REACTIONS = {
    Dye.METHYLENE_BLUE: "Ask for kidney disease; the urine turns blue.",
    Dye.PATENT_BLUE_V: "Allergic reactions in 11 of 1,247, one severe (Tripathy 2012).",
    Dye.ISOSULFAN_BLUE: "Allergic reactions in 1 to 20 of 1,000 (Haque 2012).",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeCheck(Record):
    """What the dose amounts to, and what speaks against it."""

    dye: Dye
    dose_ratio: float  #: mg for each kg of body weight
    flags: tuple[str, ...]


def check_dye(
    dye: Dye,
    volume_ml: float,
    concentration_percent: float,
    weight_kg: float | None,
    findings: Findings,
) -> DyeCheck:
    """Check a dose of dye against weight, drugs and conditions.

    Parameters
    ----------
    dye : Dye
        Exactly which.
    volume_ml, concentration_percent, weight_kg : float
        What is to be given, and to whom; 1 % holds 10 mg in each mL.
    findings : Findings
        Allergies and drugs, each asked or not.

    Raises
    ------
    InputError
        If an allergy to dye was not asked for, or is known; if an amount or the weight is
        missing or cannot be meant.
    """
    refuse_dye_allergy(findings.allergies.dye)
    refuse_impossible(volume_ml, concentration_percent)
    dose = dose_mg_per_kg(volume_ml, concentration_percent, known_weight_kg(weight_kg))
    flags = (
        *_drug_flags(findings.drugs, INTERACTIONS[dye]),
        *_dose_flags(dye, dose),
        "The pulse oximeter will read falsely low for a while.",
        REACTIONS[dye],
        f"Read the name on the ampoule aloud: {dye}.",
    )
    return DyeCheck(dye=dye, dose_ratio=dose, flags=flags)


def check_methylene_blue(
    volume_ml: float, concentration_percent: float, weight_kg: float | None, findings: Findings
) -> DyeCheck:
    """Check a dose of methylene blue, as `check_dye`."""
    return check_dye(Dye.METHYLENE_BLUE, volume_ml, concentration_percent, weight_kg, findings)


def refuse_dye_allergy(answer: Answer) -> None:
    """Refuse any dye while an allergy to it is known, or nobody asked.

    Raises
    ------
    InputError
        With the reason.
    """
    if answer is Answer.YES:
        raise InputError("An allergy to dye is known: no dye step.")
    if answer is Answer.NOT_ASKED:
        raise InputError("Allergy to dye was not asked. Ask before any dye is drawn up.")


def _drug_flags(drugs: Drugs, interactions: dict[str, str]) -> list[str]:
    asked = {harm: getattr(drugs, name) for name, harm in interactions.items()}
    present = [f"Takes or has {w}." for w, a in asked.items() if a is Answer.YES]
    return present + [f"Not asked: {w}." for w, a in asked.items() if a is Answer.NOT_ASKED]


def _dose_flags(dye: Dye, dose: float) -> list[str]:
    """Return what the dose passes; a dose that is not a number passes every limit."""
    if dye is not Dye.METHYLENE_BLUE:
        return [f"No limit by body weight is held here for {dye}. Follow its label."]
    flags = []
    if not dose < INHIBITS_FROM_MG_PER_KG:
        flags.append(f"{dose:.2f} mg/kg inhibits monoamine oxidase A if it all enters the blood.")
    if not dose <= MOST_MG_PER_KG:
        flags.append(f"{dose:.1f} mg/kg is above {MOST_MG_PER_KG:.0f} mg/kg.")
    return flags
