"""What a plan set says in words: order, strengths, cautions, assumptions."""

from dataclasses import fields

from crena.records import Allergies, Answer, Findings

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five")

CAUTIONS = (
    "Research and teaching software, not a medical device. A plan is a proposal to a licensed "
    "surgeon, who decides, follows local protocols, and trusts the dye and the tissue over the "
    "drawing.",
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
    "Drawn margin, least clearance, distance from the anal verge: common practice, no source; "
    "20 mm off the midline and the 11 mm mark: Kaplan 2017.",
)


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
    return f"Allergies: {words}{missing}; asked {findings.seen_on.isoformat()}"


def order_of(plans: int) -> str:
    """Say honestly how the plans stand to each other."""
    if plans == 1:
        return "One plan keeps all limits."
    return f"{NUMBERS[plans]} plans, no clear best: each is better at something."


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
