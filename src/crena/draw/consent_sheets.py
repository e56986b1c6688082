"""The consent sheet: what is proposed, what else there is, and what is known of both."""

from collections.abc import Iterable
from typing import Any

from crena.draw.consent_words import (
    ALTERNATIVES,
    GUIDELINES,
    LOCAL_FORM,
    NEVER_COMPUTED,
    NO_INTERVAL,
    OWN_UNIT,
    QUESTIONS,
    RISKS,
    STATEMENT,
    WORDS,
)
from crena.draw.handout_pictures import PictureWords, closure_picture
from crena.draw.paper import Paper
from crena.draw.patient_sheets import side_in_head
from crena.draw.plan_pictures import Stage
from crena.draw.press import pdf_of
from crena.draw.tongues import Entered, printed_in, printed_language, said, said_allergies
from crena.draw.words import (
    NARROW,
    capital,
    donor_sentence,
    lower_end_sentence,
    scar_sentence,
    unsplit,
    volume_sentence,
    with_unit,
)
from crena.records import (
    RECURRENCE,
    Closure,
    HealingPlan,
    Language,
    Mark,
    OutcomeRate,
    Plan,
    Side,
)
from crena.records.numbers import whole
from crena.records.statements import CAUTION

LETTERS_PT = {Language.ENGLISH: 9.5, Language.GERMAN: 9.0}
"""Size of the text: German runs longer, and the sheet has two pages."""

_PICTURE_LETTERS_PT = 9.5
_MARGIN_MM = 14.0
_PICTURE_MM = (86.0, 64.0)
"""Largest width and height of each drawing."""

_PEOPLE = 1000
"""Rates are told as so many of this many people: small and large compare at a glance."""

_FEW_PEOPLE = 100
"""Complications of small groups are told of this many: more would promise precision."""

_MONTHS_IN_A_YEAR = 12


def consent_pdf(
    healing: HealingPlan,
    rates: Iterable[OutcomeRate],
    *,
    paper: Paper,
    language: Language = Language.ENGLISH,
) -> bytes:
    """Print the sheet on which surgeon and patient agree.

    Parameters
    ----------
    healing : HealingPlan
        With the plan that is proposed; without one a line is left to write it on.
    rates : iterable of OutcomeRate
        Only those that were published are printed.
    paper : Paper
        The sheets that lie in the printer.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF of two pages.
    """
    with printed_in(language):
        return pdf_of("consent", _content(healing, published_only(rates), paper))


def _content(
    healing: HealingPlan, published: tuple[OutcomeRate, ...], paper: Paper
) -> dict[str, Any]:
    side = side_in_head(healing, Language.ENGLISH)
    return {
        "title": f"Consent sheet, {healing.case_label}",
        "paper": {"width_mm": paper.width_mm, "height_mm": paper.height_mm},
        "margin_mm": _MARGIN_MM,
        "letters_pt": LETTERS_PT[printed_language()],
        "words": WORDS,
        "case_label": Entered(healing.case_label),
        "side": side,
        "code": Entered(healing.code) if healing.code else "no plan",
        "allergies": said_allergies(healing.allergies),
        "caution": CAUTION,
        "proposed": _proposed(healing.plan, side) if healing.plan else None,
        "alternatives": [[one.name, one.words, one.source] for one in ALTERNATIVES],
        "guidelines": GUIDELINES,
        "rates": recurrence_rows(published, healing.plan),
        "sources": _sources(published),
        "concerned": _concerned(published, healing.plan),
        "own_unit": OWN_UNIT,
        "risks": list(RISKS),
        "complications": complication_sentences(published),
        "not_computed": not_computed(healing),
        "questions": list(QUESTIONS),
        "statement": STATEMENT,
        "local_form": LOCAL_FORM,
    }


def published_only(rates: Iterable[OutcomeRate]) -> tuple[OutcomeRate, ...]:
    """Return the rates that may be printed: what is only remembered is left out.

    Parameters
    ----------
    rates : iterable of OutcomeRate
        Of any mark.
    """
    return tuple(rate for rate in rates if rate.basis.mark is Mark.PUBLISHED)


def recurrence_rows(rates: Iterable[OutcomeRate], plan: Plan | None) -> list[dict[str, Any]]:
    """Return one row for each rate at which the disease came back within a stated time.

    Parameters
    ----------
    rates : iterable of OutcomeRate
        Published ones.
    plan : Plan, optional
        Rows that speak of its kind of closure are marked.

    Returns
    -------
    list of dict
        Operation, of 1000 people, after what time, source.
    """
    return [
        {
            "operation": capital(rate.operation),
            "note": people_words(rate),
            "came_back": f"*{whole(_PEOPLE * rate.rate_fraction)}* ({_interval(rate)})",
            "after": months_words(rate.months),
            "source": Entered(_short(rate.basis.source)),
            "ours": plan is not None and plan.closure.kind in rate.kinds,
        }
        for rate in rates
        if rate.outcome == RECURRENCE and rate.months is not None
    ]


def months_words(months: int) -> str:
    """Return a time after the operation in years where it is whole years.

    >>> months_words(24).replace(chr(160), " "), months_words(29).replace(chr(160), " ")
    ('2 years', '29 months')
    """
    years, rest = divmod(months, _MONTHS_IN_A_YEAR)
    if rest:
        return f"{months}{NARROW}months"
    return f"{years}{NARROW}year" if years == 1 else f"{years}{NARROW}years"


def people_words(rate: OutcomeRate) -> str:
    """Say who was followed."""
    people = f"{rate.people}{NARROW}people" if rate.people else ""
    return ", ".join(words for words in (people, rate.note) if words)


def _short(source: str) -> str:
    """Return author and year of a source."""
    return source.partition(",")[0].replace(" ", NARROW)


def _sources(rates: Iterable[OutcomeRate]) -> str:
    """Return every source once, in full."""
    return Entered("; ".join(dict.fromkeys(rate.basis.source for rate in rates)))


def complication_sentences(rates: Iterable[OutcomeRate]) -> list[str]:
    """Return one sentence for each group of people in whom complications were counted.

    Parameters
    ----------
    rates : iterable of OutcomeRate
        Published ones; recurrences are left out.

    Returns
    -------
    list of str
        With the source; what was seen in nobody is told as none of so many, not as never.
    """
    groups: dict[tuple[str, str, str], list[str]] = {}
    for rate in rates:
        if rate.outcome != RECURRENCE:
            key = rate.operation, people_words(rate), rate.basis.source
            counted = f"{said(rate.outcome)} {said(_of_few(rate))}"
            groups.setdefault(key, []).append(counted)
    return [
        Entered(f"*{said(capital(operation))}* ({said(people)}): {', '.join(found)}. {source}.")
        for (operation, people, source), found in groups.items()
    ]


def not_computed(healing: HealingPlan) -> list[str]:
    """Return what the sheet cannot say, and why.

    Parameters
    ----------
    healing : HealingPlan
        Whose missing parts are named.

    Returns
    -------
    list of str
        Always with the patient's own chances, which nobody can compute.
    """
    found = list(NEVER_COMPUTED)
    plan = healing.plan
    if plan is None:
        return [*found, "Wound, flap and scar: not planned here."]
    if plan.mechanics is None or plan.mechanics.total_force_n is None:
        found.append("Pull on the stitches: not computed.")
    else:
        found.append("Pull on the stitches: relative, not validated.")
    if plan.filling is None and plan.dead_space_ml is None:
        found.append("Hollow space left under the flap: not computed.")
    if healing.support is None:
        reason = f", because {healing.support_reason}" if healing.support_reason else ""
        found.append(f"How long the stitches must stay: not computed{reason}.")
    return found


def _proposed(plan: Plan, side: str) -> dict[str, Any]:
    closure = plan.closure
    depth = with_unit(whole(plan.excision.depth_mm), "mm")
    return {
        "name": unsplit(f"{capital(closure.name)}. {side}."),
        "pictures": [_picture(closure, stage, side) for stage in (Stage.CUT, Stage.SEWN)],
        "sentences": [
            f"{volume_sentence(plan)} At most *{depth}* deep.",
            scar_sentence(plan),
            lower_end_sentence(plan),
            donor_sentence(plan),
            *(unsplit(sentence) for sentence in (plan.best_at, plan.price) if sentence),
        ],
    }


def _picture(closure: Closure, stage: Stage, side: str) -> dict[str, Any]:
    title = f"{capital(closure.name)}, {stage}, seen from behind. {side}."
    words = PictureWords(
        title=title,
        head="Head",
        tailbone="tailbone",
        left=Side.LEFT,
        right=Side.RIGHT,
        size_pt=_PICTURE_LETTERS_PT,
    )
    svg, width_mm = closure_picture(closure, stage, words, _PICTURE_MM)
    return {"svg": svg.decode(), "width_mm": width_mm, "alt": title, "stage": capital(stage)}


def _interval(rate: OutcomeRate) -> str:
    if rate.low_fraction is None or rate.high_fraction is None:
        return NO_INTERVAL
    low, high = (whole(_PEOPLE * each) for each in (rate.low_fraction, rate.high_fraction))
    return f"{low}–{high}"


def _of_few(rate: OutcomeRate) -> str:
    if rate.rate_fraction == 0:
        return f"none of{NARROW}{rate.people}" if rate.people else "none seen"
    return f"{whole(_FEW_PEOPLE * rate.rate_fraction)}{NARROW}of{NARROW}{_FEW_PEOPLE}"


def _concerned(rates: Iterable[OutcomeRate], plan: Plan | None) -> str:
    if any(row["ours"] for row in recurrence_rows(rates, plan)):
        return "Bold rows speak of the kind of operation that is proposed."
    return "No row speaks of exactly the operation that is proposed."
