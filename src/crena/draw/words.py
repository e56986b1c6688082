"""Figures as people read them: whole millimetres, bands, sides in full words.

Ranges are rounded outwards and promises downwards, so that no printed figure claims more
than the record holds. A star marks bold words for the layouts.
"""

import re
from math import ceil, floor

from crena.records import Closure, Comparator, Plan, Point2, Side, SignOff, SittingPull
from crena.records.numbers import NEARLY_WHOLE, at_least, whole

NARROW = "\u00a0"
"""A space at which no line breaks: between a number and its unit."""

_NUMBER_AND_UNIT = re.compile(
    r"(\d(?:[\d.,–]*\d)?) (mm²|cm²|mm2|mm|mL|cm|days?|weeks?|degrees|of \d+|parts|%|kg|N)(?!\w)"
)

_GERMAN_UNITS = re.compile(
    r"(\d(?:[\d.,–]*\d)?) (Tage?n?|Wochen?|Monaten?|Jahren?|Grad|Millimeter|von \d+|Reihen)(?!\w)"
    r"|\d (Packungen|g|h|°C|in 10)(?!\w)|\b(Tag|Tage) \d+|\b\d{1,3} \d{3}\b"
    r"|\b\d{1,2}\. (?=(Januar|Februar|März|April|Mai|Juni|Juli|August|September)\b)"
    r"|\b\d{1,2}\. (?=(Oktober|November|Dezember)\b)"
)

VOID = "Void when the plan changes."
"""Printed on every page of a template."""


def with_unit(value: int, unit: str) -> str:
    """Return a whole figure with its unit, never to be split.

    >>> with_unit(20, "mm")
    '20\\xa0mm'
    """
    return f"{value}{NARROW}{unit.replace(' ', NARROW)}"


def span(low: float, high: float, unit: str) -> str:
    """Return a band with its unit, rounded outwards.

    >>> span(19.2, 21.4, "mm")
    '19–22\\xa0mm'
    """
    first, last = floor(low + NEARLY_WHOLE), ceil(high - NEARLY_WHOLE)
    figure = f"{first}" if first >= last else f"{first}–{last}"
    return f"{figure}{NARROW}{unit.replace(' ', NARROW)}"


def chance(low: float, high: float) -> str:
    """Return a chance in repeats of 100, never as a certainty.

    >>> chance(0.912, 0.958).replace(chr(160), " ")
    '91–96 of 100'
    >>> chance(0.97, 1.0).replace(chr(160), " "), chance(0.9999, 1.0).replace(chr(160), " ")
    ('97 or more of 100', 'more than 99 of 100')
    """
    least = floor(100 * low + NEARLY_WHOLE)
    if 100 * low > 99:
        return f"more than{NARROW}99{NARROW}of{NARROW}100"
    if 100 * high > 99:
        return f"{least} or more of{NARROW}100"
    if 100 * high < 1:
        return f"fewer than{NARROW}1{NARROW}of{NARROW}100"
    return span(100 * low, 100 * high, "of 100")


def unsplit(text: str) -> str:
    """Return a sentence in which no unit can part from its number.

    >>> unsplit("Takes 20 mm and 3 of 100.").count(chr(160))
    3
    """
    return _NUMBER_AND_UNIT.sub(
        lambda found: found[0].replace(" ", NARROW), text.replace("*", "\u2217")
    )


def joined_units(text: str) -> str:
    """Return words of either language in which no unit can part from its number; stars stay.

    >>> joined_units("*20 mm*, 91 von 100, Tag 3").count(chr(160))
    4
    """
    joined = _NUMBER_AND_UNIT.sub(lambda found: found[0].replace(" ", NARROW), text)
    return _GERMAN_UNITS.sub(lambda found: found[0].replace(" ", NARROW), joined)


def capital(text: str) -> str:
    """Return words with a capital at their beginning, as a heading or a cell has it.

    >>> capital("rhombic, free angles")
    'Rhombic, free angles'
    """
    return text[:1].upper() + text[1:]


def counted(count: int, one: str, many: str) -> str:
    """Return a count with its noun.

    >>> counted(1, "page", "pages"), counted(2, "page", "pages")
    ('1\\xa0page', '2\\xa0pages')
    """
    return f"{count}{NARROW}{one if count == 1 else many}"


def off_midline(value_mm: float) -> str:
    """Return a place across as people measure it.

    >>> off_midline(-34.2).replace(chr(160), " "), off_midline(0.2)
    ("34 mm to the patient's left", 'on the midline')
    """
    if whole(abs(value_mm)) == 0:
        return "on the midline"
    side = Side.RIGHT if value_mm > 0 else Side.LEFT
    return f"{with_unit(whole(abs(value_mm)), 'mm')} to the {side}"


def from_tip(value_mm: float) -> str:
    """Return a place along as people measure it.

    >>> from_tip(63.0).replace(chr(160), " "), from_tip(-21.4).replace(chr(160), " ")
    ('63 mm above', '21 mm below')
    """
    if whole(abs(value_mm)) == 0:
        return "at its level"
    word = "above" if value_mm > 0 else "below"
    return f"{with_unit(whole(abs(value_mm)), 'mm')} {word}"


def flap_side(closure: Closure) -> str:
    """Say in full words where the tissue comes from."""
    if closure.donor_side is None:
        return "Flaps from both sides" if closure.flaps else "No flap"
    what = "Flap" if closure.flaps else "Tissue"
    return f"{what} from the {closure.donor_side}"


def sign_off_time(signed: SignOff) -> str:
    """Return when a plan was signed off, as it stands on sheets: 2026-11-27 13:05."""
    return f"{signed.at:%Y-%m-%d %H:%M}"


def short_hash(inputs_hash: str) -> str:
    """Return the first eight signs of a hash in two groups.

    >>> short_hash("4f2c91ab77")
    '4f2c 91ab'
    """
    return f"{inputs_hash[:4]} {inputs_hash[4:8]}".strip()


def nearest_corner(closure: Closure, point: Point2) -> str:
    """Return the letter of the corner that lies at a point, or nothing."""
    for corner in closure.corners:
        if max(abs(corner.at_mm[0] - point[0]), abs(corner.at_mm[1] - point[1])) < _SAME_PLACE_MM:
            return corner.name
    return ""


_SAME_PLACE_MM = 0.75
"""Nearer than this, two places on the skin are one."""


def pedicle_words(closure: Closure, flap_number: int) -> str:
    """Say which line must not be cut, by its letters."""
    pedicle = closure.flaps[flap_number].pedicle_mm
    if pedicle is None:
        return "do not free its deep side"
    start, end = pedicle
    letters = [nearest_corner(closure, start), nearest_corner(closure, end)]
    if not all(letters):
        return "do not cut its open side"
    return "do not cut " + "–".join(sorted(letters))


def clearance_sentence(plan: Plan | Comparator, asked_mm: float) -> str:
    """Say how far every wall and the floor stay from the disease, and what was asked."""
    least = plan.excision.least_clearance_mm
    asked = f"You asked for {with_unit(whole(asked_mm), 'mm')}."
    if least < 0:
        return f"*Cuts into the disease by {with_unit(ceil(-least), 'mm')}.* {asked}"
    return f"Clear of every tract by at least *{with_unit(at_least(least), 'mm')}*. {asked}"


def chance_sentence(plan: Plan | Comparator) -> str:
    """Say how often the asked clearance holds when the measuring errors are drawn anew."""
    clear = plan.excision.chance_clear
    repeats = chance(clear.chance_low, clear.chance_high)
    asked = with_unit(whole(clear.at_least_mm), "mm")
    return f"At the walls the {asked} hold in *{repeats}* repeats."


def volume_sentence(plan: Plan | Comparator) -> str:
    """Say how much is taken out."""
    cut = plan.excision
    return f"Takes *{span(cut.volume_low_ml, cut.volume_high_ml, 'mL')}*."


def lower_end_sentence(plan: Plan | Comparator) -> str:
    """Say how far the lower end of the scar lies off the midline, and on which side."""
    scar = plan.scar
    side = Side.RIGHT if scar.lower_end_mm[0] > 0 else Side.LEFT
    where = "" if whole(scar.lower_end_midline_mm) == 0 else f", on the {side}"
    band = span(scar.lower_end_low_mm, scar.lower_end_high_mm, "mm")
    return f"Lower end of the scar: *{band}* off the midline{where}."


def scar_sentence(plan: Plan | Comparator) -> str:
    """Say how long the scar is and how often it meets the midline."""
    times = plan.scar.midline_crossings
    count = {0: "It does not meet the midline.", 1: "It meets the midline once."}
    meets = count.get(times, f"It meets the midline {times} times.")
    return f"Scar *{with_unit(whole(plan.scar.length_mm), 'mm')}*. {meets}"


def pull_sentence(plan: Plan) -> str:
    """Say how a plan pulls against the others, and how much of it the donor line bears."""
    known = plan.mechanics
    if known is None or known.relative_low_ratio is None or known.relative_high_ratio is None:
        return "Pull: no figure."
    low, high = f"{known.relative_low_ratio:.1f}", f"{known.relative_high_ratio:.1f}"
    band = low if low == high else f"{low}–{high}"
    least = whole(known.compared * (known.least_of_these_fraction or 0.0))
    return (
        f"Pull *{band}* times the least here; least on {least} of{NARROW}{known.compared} "
        "guessed skins."
    )


def scar_after_sentence(plan: Plan) -> str:
    """Say where the scar comes to lie once the skin has given, and what sitting adds."""
    known = plan.mechanics
    if known is None or known.scar_after is None:
        return "Scar once the skin has given: no figure."
    after = known.scar_after
    lower = with_unit(whole(after.sagittal.lower_end_mm), "mm")
    said = f"Once the skin has given, on one guessed skin, the scar ends *{lower}* off the midline"
    if after.material is None:
        said += "."
    else:
        old = with_unit(whole(after.material.lower_end_mm), "mm")
        said += f" and {old} off the skin that lay there."
    return f"{said}{_sitting_words(known.sitting)}"


def _sitting_words(seated: SittingPull | None) -> str:
    if seated is None:
        return ""
    if seated.over_lying_ratio is None:
        return " Sitting: no figure."
    said = f" Sitting pulls {seated.over_lying_ratio:.1f} times as hard"
    if seated.gape_mm is None:
        return f"{said}. How far a seam would gape: no figure."
    gape = with_unit(whole(seated.gape_mm), "mm")
    return f"{said}; {seated.hardest_seam} would gape {gape} if it gave way."


def donor_sentence(plan: Plan) -> str:
    """Say how far the edges of the donor place come together."""
    gap_mm = plan.shape.donor_closure_mm
    if plan.closure.donor_side is None or whole(gap_mm) == 0:
        return "There is no donor place to close."
    return f"Donor edges come together by *{with_unit(whole(gap_mm), 'mm')}*."
