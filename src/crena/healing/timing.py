"""The timing gate: no flap is planned into acute inflammation."""

from dataclasses import fields
from datetime import date, timedelta

from crena.records import Answer, Findings, InputError, long_date
from crena.records.timings import Timing

BACKGROUND = (
    "German S3 guideline, 2020 update: an abscess is unroofed first; definitive treatment "
    "follows when the acute inflammation has gone. It names no number of weeks; six weeks, and "
    "longer while a cavity persists, is common practice, no source."
)

SIGN_WORDS = {
    "redness": "redness",
    "swelling": "swelling",
    "warmth": "warmth",
    "pus_under_pressure": "pus under pressure",
    "fever": "fever",
}


def timing(findings: Findings, today: date, recheck_after_day: int) -> Timing:
    """Say whether the acute stage is over.

    Parameters
    ----------
    findings : Findings
        With every acute sign asked, or not.
    today : date
        The day of planning.
    recheck_after_day : int
        The surgeon's own rule: days from the finding to the next look.

    Returns
    -------
    Timing
        Not ready while any sign is present or was not asked.

    Raises
    ------
    InputError
        If the patient was seen after today.
    """
    _refuse_future(findings.seen_on, today)
    signs = findings.acute_signs
    answers = {SIGN_WORDS[f.name]: getattr(signs, f.name) for f in fields(signs)}
    present = [word for word, answer in answers.items() if answer is Answer.YES]
    unasked = [word for word, answer in answers.items() if answer is Answer.NOT_ASKED]
    if present:
        again = max(findings.seen_on + timedelta(days=recheck_after_day), today)
        reason = (
            f"Acute stage ({', '.join(present)}): no flap plan before {long_date(again)}. "
            "Drain what is under pressure, and look again then."
        )
        return Timing(ready=False, reason=reason, recheck_on=again, background=BACKGROUND)
    if unasked:
        reason = f"Not asked: {', '.join(unasked)}. Ask and examine; then a plan can be made."
        return Timing(ready=False, reason=reason, recheck_on=today, background=BACKGROUND)
    return Timing(
        ready=True, reason="No acute sign was found.", recheck_on=None, background=BACKGROUND
    )


def _refuse_future(seen_on: date, today: date) -> None:
    if seen_on > today:
        raise InputError(
            f"The patient was seen on {long_date(seen_on)}, after today, "
            f"{long_date(today)}. Correct the date."
        )
