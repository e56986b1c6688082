"""What a plan set says in words: order, strengths, cautions, assumptions."""

from dataclasses import fields
from datetime import date

from crena.geometry.unrolling import skin_map
from crena.records import (
    Allergies,
    Answer,
    Case,
    Drugs,
    Findings,
    Origin,
    PatientLabel,
    Plan,
    Surface,
    TractMap,
    long_date,
)
from crena.records.statements import CAUTION

CAUTIONS = (
    CAUTION,
    "The map shows what probing and scan could show; it never proves that there is no more.",
    "Lengths are along the skin as it lay when it was measured or scanned. Measure two distances "
    "again on the table; if they differ by more than a tenth, plan again.",
    "Blood supply is not computed; pedicle over flap length is all that is said of it.",
)

ASSUMPTIONS = (
    "Registration of the map on the table: one standard deviation as entered, 2 mm if not "
    "(assumed).",
    "Errors of different walls are taken as independent once the shared shift is known.",
    "Walls are straight from skin to fascia, leaning by the angle asked for.",
    "The scar is where the seams come to lie before any tissue gives.",
    "Steps to which plans are rounded before they are compared: skin 1 cm², donor closure a tenth, "
    "share of the scar a twentieth, pedicle a tenth, tip 15 degrees (assumed).",
    "Pull: a flat, tension-field membrane; skins are guesses round one assumed skin, its tension "
    "lines across the sacrum, give or take 20 degrees, or as pinched, give or take the error of "
    "the pinch (assumed). Relative, not validated.",
    "Drawn margin, least clearance, distance from the anal verge: common practice, no source; "
    "20 mm off the midline and the 11 mm mark: Kaplan 2017.",
)


FRESH_DAYS = 7
"""A finding older than this is to be looked at again before the operation (assumed)."""

LARGE_MM2 = 10_000.0
"""Skin taken above which every measure is to be checked (assumed)."""

DRUG_WORDS = {
    "anticoagulant": "anticoagulant",
    "serotonergic": "serotonergic drug (with methylene blue: serotonin toxicity)",
    "immunosuppressant": "immunosuppressant",
    "g6pd_deficiency": "G6PD deficiency",
    "pregnancy": "pregnancy",
}

ALLERGY_WORDS = {
    "dye": "dye",
    "local_anaesthetic": "local anaesthetic",
    "antibiotic": "antibiotic",
    "antiseptic": "antiseptic",
    "latex": "latex",
    "plaster": "plaster",
}


def allergies_of(findings: Findings) -> str:
    """Return one sentence for every page; what was not asked is never called none."""
    answers = {
        ALLERGY_WORDS[f.name]: getattr(findings.allergies, f.name)
        for f in fields(Allergies)
        if f.name in ALLERGY_WORDS
    }
    known = [word for word, answer in answers.items() if answer is Answer.YES]
    unasked = [word for word, answer in answers.items() if answer is Answer.NOT_ASKED]
    note = [findings.allergies.note] if findings.allergies.note else []
    words = ", ".join([*known, *note]) or ("none known" if not unasked else "see what is not asked")
    missing = f"; not asked: {', '.join(unasked)}" if unasked else ""
    return f"Allergies: {words}{missing}; asked {long_date(findings.seen_on)}"


def label_of(patient: PatientLabel) -> str:
    """Return how the patient is named on every page: label, identifier, date of birth."""
    born = f"born {long_date(patient.birth_date)}" if patient.birth_date else ""
    return ", ".join(word for word in (patient.label, patient.identifier, born) if word)


def cautions_of(
    case: Case, tract_map: TractMap, plans: tuple[Plan, ...], today: date
) -> tuple[str, ...]:
    """Return what this case asks the surgeon to look at again."""
    return (
        *_old_finding(case.findings, today),
        *_drugs(case.findings.drugs),
        *(caution for plan in plans for caution in _of_plan(plan)),
        *_beyond_the_scan(plans, tract_map.skin),
    )


def _old_finding(findings: Findings, today: date) -> list[str]:
    days = (today - findings.seen_on).days
    if days <= FRESH_DAYS:
        return []
    return [f"Seen {days} days ago, on {long_date(findings.seen_on)}. Look again for acute signs."]


def _drugs(drugs: Drugs) -> list[str]:
    answers = {word: getattr(drugs, name) for name, word in DRUG_WORDS.items()}
    known = [word for word, answer in answers.items() if answer is Answer.YES]
    unasked = [word for word, answer in answers.items() if answer is Answer.NOT_ASKED]
    said = [f"To settle before the operation: {', '.join(known)}."] if known else []
    return said + ([f"Not asked: {', '.join(unasked)}."] if unasked else [])


def _of_plan(plan: Plan) -> list[str]:
    found = [
        f"Plan {plan.id}: {c.limit} is {c.reached:.0f} mm, {c.asked:g} mm were asked. Take the "
        "fascia with the specimen there."
        for c in plan.limits
        if not c.kept
    ]
    if plan.excision.area_mm2 > LARGE_MM2:
        found.append(f"Plan {plan.id} takes more than 100 cm² of skin. Check every measure.")
    return found


def _beyond_the_scan(plans: tuple[Plan, ...], surface: Surface) -> list[str]:
    """Name the plans with a corner beyond the skin that was scanned."""
    if surface.origin is not Origin.SCAN:
        return []
    arcs = skin_map(surface).arc_mm
    left, right = float(arcs[:, 0].max()), float(arcs[:, -1].min())
    beyond = [
        plan.id
        for plan in plans
        if any(not left <= s <= right for s, _ in plan.closure.points_mm.values())
    ]
    if not beyond:
        return []
    return [f"Beyond the skin that was scanned, skin is taken as level: plan {', '.join(beyond)}."]


def sentence_of(alone: list[str], shared: list[str], behind: list[str]) -> tuple[str, str]:
    """Return what a plan is best at and what it costs, each as one sentence.

    Parameters
    ----------
    alone, shared, behind : list of str
        Objectives in which it is the best, as good as any, and behind all others.
    """
    if alone:
        strength = f"{_capital(_listed(alone))}."
    elif shared:
        strength = f"As good as any in: {_listed(shared)}."
    else:
        strength = "A middle way: best at nothing, last at nothing."
    price = f"Its price: {_listed([PRICE_WORDS[b] for b in behind])}." if behind else ""
    return strength, price


PRICE_WORDS = {
    "least skin taken": "most skin taken",
    "donor edges nearest together": "donor edges furthest apart",
    "least pull": "most pull",
    "scar furthest off the midline": "scar nearest to the midline",
    "widest base": "narrowest base",
    "tip that fits best": "a tip that must stretch to fit",
    "published construction": "no published series",
}
"""What it means to come last in an objective."""


def _listed(words: list[str]) -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
