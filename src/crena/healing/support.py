"""Support of the closed wound from day to day, against its load."""

from dataclasses import replace

import numpy as np

from crena.healing.removal import (
    Spread,
    customary_removal,
    earliest_day,
    early_warnings,
    high_load_n_per_mm,
    removal_chances,
    widened,
    with_ratios,
)
from crena.healing.strands import Strand, staying, strands_of, support_curve
from crena.records import (
    Answer,
    EarliestDay,
    InputError,
    LayerTemplate,
    LowestSupport,
    Support,
    SupportCurve,
    SupportTerms,
    SutureTables,
    basis_words,
)

SHOWN_MULTIPLES = (2.0, 3.0, 4.0)
"""The answer depends on the multiple more than on the threads, so several are shown."""


def support_against_time(
    templates: tuple[LayerTemplate, ...],
    tables: SutureTables,
    terms: SupportTerms,
    rng: np.random.Generator,
    spread: Spread | None = None,
) -> Support:
    """Hold the threads and the healing wound against the load, from day to day.

    Parameters
    ----------
    templates : tuple of LayerTemplate
        The layers as sewn, with the day on which skin stitches leave.
    tables : SutureTables
        What threads and wounds hold.
    terms : SupportTerms
        Load, multiple, field, risks.
    rng : numpy.random.Generator
        For the chances.
    spread : Spread, optional
        Of the factors in a clean field.

    Returns
    -------
    Support
        The load is taken as constant: skin relaxes (`crena.healing.relaxation`), but sitting
        pulls again.

    Raises
    ------
    InputError
        If there is no layer, or a thread is not in the tables.
    """
    strands = _some(strands_of(templates, tables))
    sewn = support_curve(strands, tables.wound, terms.whole_skin_n_per_mm)
    rest = support_curve(staying(strands), tables.wound, terms.whole_skin_n_per_mm)
    removal_day = min((s.removal_day for s in strands if s.removal_day is not None), default=None)
    customary = customary_removal(tables.removals, terms.risks)
    asked = _earliest(rest, terms, terms.multiple_ratio)
    kept_in = tuple(replace(strand, removal_day=None) for strand in strands)
    chances = removal_chances(strands, terms, widened(spread or Spread(), terms.contaminated), rng)
    high_load = high_load_n_per_mm(terms)
    lowest_worst = _lowest(sewn, sewn.worst_n_per_mm, high_load)
    return Support(
        load_n_per_mm=terms.load_n_per_mm,
        high_load_n_per_mm=high_load,
        multiple_ratio=terms.multiple_ratio,
        with_skin=sewn,
        without_skin=rest,
        kept_in=support_curve(kept_in, tables.wound, terms.whole_skin_n_per_mm),
        lowest=_lowest(sewn, sewn.support_n_per_mm, terms.load_n_per_mm),
        lowest_worst=lowest_worst,
        lowest_without_skin=_lowest(rest, rest.support_n_per_mm, terms.load_n_per_mm),
        earliest=tuple(_earliest(rest, terms, m) for m in _multiples(terms)),
        chances=with_ratios(chances, rest, terms),
        removal_day=removal_day,
        customary=customary,
        warnings=(
            *early_warnings(removal_day, customary, asked),
            *_field_warning(terms.contaminated),
            *_worst_warning(lowest_worst),
        ),
        sources=_sources(strands, tables),
    )


def _some(strands: tuple[Strand, ...]) -> tuple[Strand, ...]:
    if not strands:
        raise InputError("No layer is sewn. Add a layer, or leave the wound open.")
    return strands


def _multiples(terms: SupportTerms) -> list[float]:
    return sorted({*SHOWN_MULTIPLES, terms.multiple_ratio})


def _lowest(
    curve: SupportCurve, held_n_per_mm: tuple[float, ...], load_n_per_mm: float
) -> LowestSupport:
    n = int(np.argmin(held_n_per_mm))
    return LowestSupport(
        on_day=curve.at_day[n],
        support_n_per_mm=held_n_per_mm[n],
        over_load_ratio=held_n_per_mm[n] / load_n_per_mm,
    )


def _earliest(rest: SupportCurve, terms: SupportTerms, multiple_ratio: float) -> EarliestDay:
    days, asked = np.array(rest.at_day), multiple_ratio * terms.load_n_per_mm
    most = multiple_ratio * high_load_n_per_mm(terms)
    return EarliestDay(
        multiple_ratio=multiple_ratio,
        from_day=earliest_day(days, np.array(rest.support_n_per_mm), asked),
        worst_from_day=earliest_day(days, np.array(rest.worst_n_per_mm), most),
    )


def _field_warning(contaminated: Answer) -> tuple[str, ...]:
    if contaminated is Answer.NO:
        return ()
    why = "infected or contaminated" if contaminated is Answer.YES else "not stated to be clean"
    return (
        f"The field is {why}: the spread is widened by half. Infection itself is not in the model.",
    )


def _worst_warning(lowest: LowestSupport) -> tuple[str, ...]:
    if lowest.over_load_ratio >= 1:
        return ()
    return (
        f"With the lowest figures known, support falls below the load on day {lowest.on_day:.0f} "
        f"({lowest.support_n_per_mm:.2f} N/mm).",
    )


def _sources(strands: tuple[Strand, ...], tables: SutureTables) -> tuple[str, ...]:
    """Return every source behind the curves once, in words with its mark."""
    threads = [source for s in strands for source in (basis_words(s.basis), *s.curve.sources)]
    wound = [basis_words(point.basis) for point in tables.wound]
    return tuple(dict.fromkeys([*threads, *wound]))
