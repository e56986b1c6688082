"""How the pull of a closed wound falls in the first half hour; known, and not counted on."""

from math import exp

KEPT_RATIO = 0.344
"""What stays in the end, of the first pull: from 44 % lost after 300 s (Lear 2019)."""

TIME_CONSTANT_S = 270.0
"""How fast it falls: human scalp in vivo, 14 patients (Lear 2019)."""


def pull_left_ratio(seconds: float) -> float:
    """Return the pull that is left some time after the closure, over that at its end.

    Parameters
    ----------
    seconds : float
        Since the last stitch, at rest.

    Notes
    -----
    T = T0 (f + (1 - f) exp(-t / tau)). Measured on the scalp; the buttock was not. Sitting
    loads the wound again, so the support of a wound is held against the whole first pull.

    Examples
    --------
    >>> round(pull_left_ratio(300), 2), round(pull_left_ratio(1800), 2)
    (0.56, 0.34)
    """
    return KEPT_RATIO + (1.0 - KEPT_RATIO) * exp(-seconds / TIME_CONSTANT_S)
