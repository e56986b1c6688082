"""What is said of a drain: neutral on whether it does good."""

from crena.records.drains import DrainPrior, DrainRule, SuddenFall

EVIDENCE = (
    "A drain is the surgeon's choice. Three trials of a drain against none found no difference "
    "in wound complications, infection or recurrence (Erdem 1998, n = 40; Kirkil 2011, n = 60; "
    "Milone 2011, n = 803).",
    "A small last volume does not show that taking the drain out is safe: complications were "
    "not told apart by it (Chua 2021).",
)


def prior_words(prior: DrainPrior) -> str:
    """Return what the forecast rests on besides the readings."""
    if prior.drains:
        return f"Learnt from {prior.drains} drains of this unit."
    return (
        "Not learnt from this unit's own drains yet: where drains run slower, the day comes "
        "later than said."
    )


def met_words(day: int, rule: DrainRule) -> str:
    """Return the sentence for a rule that is met."""
    return f"The rule is met on day {day}: {_rule(rule)}. Taking the drain out is the surgeon's."


def latest_day_words(rule: DrainRule) -> str:
    """Return the sentence for a course that has come to its latest day."""
    return f"Day {rule.latest_day}, the latest of the rule, is reached: the surgeon decides."


def unread_words(day: int, last: int) -> str:
    """Return the caution on a drain of which readings are missing."""
    return f"Day {day}: nothing was read since day {last}. The forecast rests on old readings."


def latest_day_passed_words(day: int, rule: DrainRule) -> str:
    """Return the caution on a drain that should be out."""
    return f"Day {day}: the latest day for the drain, {rule.latest_day}, has passed."


def forecast_words(
    likely: int | None, span: tuple[int | None, int | None], rule: DrainRule, readings: int
) -> str:
    """Return most likely day and range of days.

    Parameters
    ----------
    likely : int or None
        None: most likely not by the latest day.
    span : (int or None, int or None)
        The range that holds 8 in 10; none stands for after the latest day.
    rule : DrainRule
        The surgeon's own.
    readings : int
        Days with a volume.

    Returns
    -------
    str
        One or two short sentences.

    Examples
    --------
    >>> forecast_words(4, (3, 6), DrainRule(), 2)
    'Below 10 mL in 24 h: most likely day 4; 8 in 10 between day 3 and day 6.'
    """
    day = f"not by day {rule.latest_day}" if likely is None else f"day {likely}"
    said = f"{_rule(rule)}: most likely {day}; 8 in 10 {_span(span, rule)}."
    if readings:
        return said[0].upper() + said[1:]
    return f"No volume counts yet; this is how drains run in general. {said[0].upper()}{said[1:]}"


def sudden_fall_words(fall: SuddenFall) -> str:
    """Return the caution on a volume far below what was to be expected."""
    return (
        f"Day {fall.day}: {fall.ml_per_day:.0f} mL in 24 h where about "
        f"{fall.expected_ml_per_day:.0f} mL was "
        "expected. A sudden fall is a blocked drain until shown otherwise: check tube, vacuum "
        "and swelling. The day does not count until the drain is found open."
    )


def _rule(rule: DrainRule) -> str:
    in_a_row = f" on {rule.readings} days in a row" if rule.readings > 1 else ""
    return f"below {rule.below_ml:g} mL in 24 h{in_a_row}"


def _span(span: tuple[int | None, int | None], rule: DrainRule) -> str:
    low, high = span
    if low is None:
        return f"after day {rule.latest_day}"
    if high is None:
        return f"on day {low} or later"
    return f"on day {low}" if low == high else f"between day {low} and day {high}"
