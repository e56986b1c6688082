"""How the plans stand to each other, and what of the skin would change that."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.material import Skin
from crena.records import Record

Floats = NDArray[np.float64]

NAMED_FRACTION = 0.8
"""A plan is named as the one that pulls least only if it does on this share of the skins."""

FEWEST_TURNED = 4
"""Fewer skins than this that favour the other plan are only counted (assumed)."""

FEWEST_SKINS = 16
"""Fewer skins than this say nothing of what decides (assumed)."""

TELLING_FRACTION = 0.75
"""How well a property must tell the two groups of skins apart to be named (assumed)."""

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight")


@dataclass(frozen=True, slots=True, kw_only=True)
class Property(Record):
    """One property of skin, with the words for more and for less of it."""

    name: str
    more: str
    less: str


PROPERTIES = (
    Property(
        name="axis_deg",
        more="the tension lines are turned anticlockwise of what was guessed, as you look",
        less="the tension lines are turned clockwise of what was guessed, as you look",
    ),
    Property(
        name="tension_along_n_per_mm",
        more="the skin is tauter than guessed",
        less="the skin is slacker than guessed",
    ),
    Property(
        name="fibre_kpa",
        more="its fibres are stiffer than guessed",
        less="its fibres are softer than guessed",
    ),
    Property(
        name="shear_kpa",
        more="its ground is stiffer than guessed",
        less="its ground is softer than guessed",
    ),
    Property(
        name="foundation_n_per_mm3",
        more="the fascia holds it more firmly than guessed",
        less="the fascia holds it less firmly than guessed",
    ),
)
"""What may decide; of several that tell the groups apart alike, the first."""


def order_of(letters: tuple[str, ...], totals_n: Floats) -> str:
    """Say honestly how the plans stand to each other.

    Parameters
    ----------
    letters : tuple of str
        Of the plans.
    totals_n : (k, n) float
        Pull of each plan on each skin; n = 0: not computed.
    """
    count = len(letters)
    if count == 1:
        return "One plan keeps all limits."
    wins = _wins(totals_n)
    skins = int(wins.sum())
    if skins >= FEWEST_SKINS and wins.max() >= NAMED_FRACTION * skins:
        first = letters[int(np.argmax(wins))]
        return (
            f"{NUMBERS[count]} plans; plan {first} pulls least, on {wins.max()} of {skins} "
            "guessed skins. The others are better at something else."
        )
    return f"{NUMBERS[count]} plans, no clear best: each is better at something."


def change_of(letters: tuple[str, ...], totals_n: Floats, skins: tuple[Skin, ...]) -> str:
    """Say what of the skin would change which plan pulls least, or that nothing alone does.

    Parameters
    ----------
    letters : tuple of str
        Of the plans.
    totals_n : (k, n) float
        Pull of each plan on each skin.
    skins : tuple of Skin
        The n skins.

    Notes
    -----
    Of the two plans that pull least most often, the skins fall into those that favour the
    one and the other. For each property the value that parts the two groups best is found
    (a decision stump); how well it parts them is the mean of the shares it puts right.
    """
    wins = _wins(totals_n)
    if len(letters) < 2 or wins.sum() < FEWEST_SKINS:
        return ""
    first, second = np.argsort(-wins, kind="stable")[:2]
    usable = _usable(totals_n)
    turned = totals_n[second, usable] < totals_n[first, usable]
    a, b = letters[first], letters[second]
    if not turned.any():
        return f"Plan {a} pulls less than plan {b} on every kind of skin that was guessed."
    if turned.sum() < FEWEST_TURNED:
        few = f"{turned.sum()} of {len(turned)}"
        return f"Plan {a} pulls less than plan {b} on all but {few} guessed skins."
    kept = [skins[n] for n in np.flatnonzero(usable)]
    tellings = [_telling(_values(kept, each.name), turned) for each in PROPERTIES]
    best = int(np.argmax([telling for telling, _ in tellings]))
    telling, more = tellings[best]
    if telling < TELLING_FRACTION:
        return f"Nothing of the skin alone decides between plans {a} and {b}."
    words = PROPERTIES[best].more if more else PROPERTIES[best].less
    return f"Plan {b} tends to pull less than plan {a} where {words}."


def _wins(totals_n: Floats) -> NDArray[np.int64]:
    """Return on how many skins each plan (k,) pulls least; one without figures never does."""
    usable = totals_n[:, _usable(totals_n)]
    least = np.nanargmin(usable, axis=0) if usable.size else np.zeros(0, np.int64)
    return np.bincount(least, minlength=len(totals_n))


def _usable(totals_n: Floats) -> NDArray[np.bool_]:
    """Return the skins (n,) on which every plan that has figures at all has one."""
    figured = totals_n[np.isfinite(totals_n).any(axis=1)]
    if not len(figured):
        return np.zeros(totals_n.shape[1], dtype=bool)
    return np.asarray(np.isfinite(figured).all(axis=0))


def _values(skins: list[Skin], name: str) -> Floats:
    return np.array([getattr(skin, name) for skin in skins])


def _telling(values: Floats, turned: NDArray[np.bool_]) -> tuple[float, bool]:
    """Return how well a cut of the values tells the groups apart, and whether above it turns."""
    above = values[:, None] > np.sort(values)[None]
    hits = above[turned].mean(axis=0)
    false = above[~turned].mean(axis=0)
    score = (hits + 1 - false) / 2
    best = int(np.argmax(np.abs(score - 0.5)))
    return float(max(score[best], 1 - score[best])), bool(score[best] >= 0.5)
