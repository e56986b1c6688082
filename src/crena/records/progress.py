"""How long work tells what it is doing."""

from collections.abc import Callable

Progress = Callable[[str, float], None]
"""Told what is being done and the share that is done; may raise to cancel."""


def silent(step: str, share: float) -> None:
    """Tell nobody."""


def part_of(progress: Progress, low: float, high: float) -> Progress:
    """Return what tells a part of the whole, from one share to another.

    >>> told = []
    >>> part_of(lambda step, share: told.append((step, share)), 0.5, 0.9)("Half way", 0.5)
    >>> told
    [('Half way', 0.7)]
    """
    return lambda step, share: progress(step, low + share * (high - low))
