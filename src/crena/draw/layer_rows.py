"""The layers as the theatre reads them: thread, stitches, packets, load against knot."""

import re
from math import ceil

from crena.draw.tongues import Entered, said
from crena.draw.words import NARROW, capital, counted, unsplit, with_unit
from crena.records import HealingPlan, Layer, LayerPlan, StitchLoad, basis_words
from crena.records.numbers import at_least, whole

NOT_VALIDATED = "Loads are computed: relative, not validated."

MM_IN_CM = 10.0

_SIZE = re.compile(r"(?P<size>.+) \(metric (?P<metric>[^,)]+).*\)")


def sewing_order(layers: LayerPlan) -> str:
    """Say in which order the seams are sewn.

    Parameters
    ----------
    layers : LayerPlan
        With the order of its seams.
    """
    seams = [
        f"*{number}*{NARROW}{name}{_donor(name, layers)}"
        for number, name in enumerate(layers.order, start=1)
    ]
    return f"Seams in this order: {', '.join(seams)}."


def _donor(name: str, layers: LayerPlan) -> str:
    """Say that a seam closes the donor place, unless its name does."""
    unsaid = name in layers.donor_seams and "donor" not in name
    return f"{NARROW}(donor)" if unsaid else ""


def layer_rows(layers: LayerPlan) -> list[list[str]]:
    """Return one row for each layer, from the floor to the skin.

    Parameters
    ----------
    layers : LayerPlan
        As counted.

    Returns
    -------
    list of list of str
        Layer, thread, stitches, length and packets; then greatest load and strength of the
        knot, where loads are known.
    """
    return [
        [*_counted(number, layer), *_carried(layer)]
        for number, layer in enumerate(layers.layers, start=1)
    ]


def both_names(size: str) -> tuple[str, str]:
    """Return a size by both its names, without the band of diameters.

    >>> both_names("2-0 (metric 3, 0.300 to 0.339 mm)")
    ('2-0', '(metric\\xa03)')
    """
    found = _SIZE.fullmatch(size)
    return (found["size"], f"(metric{NARROW}{found['metric']})") if found else (size, "")


def layer_notes(healing: HealingPlan) -> list[str]:
    """Say what the table of layers rests on, or why there is none.

    Parameters
    ----------
    healing : HealingPlan
        With its layers, if there are any.
    """
    layers = healing.layers
    if layers is None:
        why = f", because {healing.support_reason}" if healing.support_reason else ""
        return [f"*Layers, threads and loads: not computed{why}.*"]
    loads = [load for layer in layers.layers for load in layer.loads]
    bases = [layer.basis for layer in layers.layers if layer.basis]
    notes = [f"Layers: {words}." for words in dict.fromkeys(map(basis_words, bases))]
    if loads:
        strengths = (basis_words(load.strength_basis) for load in loads)
        notes += [NOT_VALIDATED, *(f"Strength of knots: {w}." for w in dict.fromkeys(strengths))]
    else:
        why = healing.support_reason or "no pull was computed for this plan"
        notes.append(f"*Load on a stitch: not computed, because {why}.*")
    return [unsplit_bold(note) for note in (*notes, *layers.assumptions)]


def unsplit_bold(sentence: str) -> str:
    """Return a sentence with bold parts in which no unit can part from its number."""
    return "*".join(unsplit(part) for part in sentence.split("*"))


def load_words(load: StitchLoad) -> str:
    """Return the greatest load of a stitch, rounded up, and where; a knot too weak is bold."""
    words = f"{with_unit(ceil(load.load_high_n - 1e-9), 'N')} at {load.seam}"
    weak = load.margin_ratio is not None and load.margin_ratio < 1
    return f"*{words}: more than the knot holds*" if weak else words


def _counted(number: int, layer: Layer) -> list[str]:
    rows = f", {counted(layer.rows, 'row', 'rows')}" if layer.rows > 1 else ""
    length = with_unit(ceil(layer.thread_mm / MM_IN_CM), "cm")
    size, metric = both_names(layer.size)
    return [
        Entered(f"*{number}*{NARROW}{said(unsplit(capital(layer.name)))}"),
        f"{layer.material} *{size}* {metric}".strip(),
        f"*{layer.stitches}*{NARROW}{layer.stitch}, {with_unit(whole(layer.spacing_mm), 'mm')}"
        f"{NARROW}apart{rows}",
        f"{length}, *{counted(layer.packets, 'packet', 'packets')}*",
    ]


def _carried(layer: Layer) -> list[str]:
    if not layer.loads:
        return []
    worst = max(layer.loads, key=lambda load: load.load_high_n)
    return [load_words(worst), with_unit(at_least(worst.strength_n), "N")]
