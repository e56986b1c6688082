"""The skin at one moment on axes of matplotlib, for notebooks and papers."""

from collections.abc import Iterable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from crena.draw.inks import BLACK, EDGE, FASCIA, FLAP_TONE, GREY, PEN, TENSION_TONES
from crena.draw.skin_pictures import BAND_LETTERS, STANDS_UP, scar_stretches, seam_ticks
from crena.records import Polyline2, Side, SkinFilm, SkinMoment, TensionBand

HATCHES = ("..", "/", "\\\\", "xx")
"""Of each band of tension, from least to most."""

_TICK_SCALE = 0.7
"""Cross ticks are as long as in a picture at this scale."""


def draw_skin(axes: Axes, film: SkinFilm, moment: SkinMoment) -> Axes:
    """Draw the skin at one moment in true proportion, patient's right on the viewer's right.

    Parameters
    ----------
    axes : Axes
        What is drawn on; its limits become those of the film, in mm.
    film : SkinFilm
        Says which part of the skin is shown.
    moment : SkinMoment
        One of its moments; once sutured, its tension lies under the lines.

    Returns
    -------
    Axes
        The same.
    """
    for number, band in enumerate(moment.tension):
        _add_band(axes, number, band)
    _add_area(axes, moment.flaps_mm, facecolor=FLAP_TONE, alpha=0.6, zorder=2)
    _add_lines(axes, moment.grid_mm, color=EDGE, linewidth=0.4)
    _add_lines(axes, moment.weave_mm, color=FASCIA, linewidth=0.5)
    _add_lines(axes, moment.midline_mm, color=BLACK, linewidth=0.8)
    _add_lines(axes, moment.edges_mm, color=PEN, linewidth=1.6)
    _add_seams(axes, moment)
    if moment.wrinkles_mm:
        _add_area(
            axes, moment.wrinkles_mm, facecolor="none", edgecolor=BLACK, hatch="--",
            label=STANDS_UP, zorder=4,
        )  # fmt: skip
    axes.axvline(0.0, color=BLACK, linewidth=0.8, linestyle="-.", label="midline")
    _set_frame(axes, film, moment)
    return axes


def _add_band(axes: Axes, number: int, band: TensionBand) -> None:
    upper = "" if band.high_ratio is None else f" to {band.high_ratio:g}"
    start = "from " if band.high_ratio is None else ""
    label = f"{BAND_LETTERS[number]}: {start}{band.low_ratio:g}{upper} times the tension before"
    _add_area(
        axes, band.rings_mm, facecolor=TENSION_TONES[number].fill, edgecolor=GREY, linewidth=0.3,
        hatch=HATCHES[number], label=label, zorder=1,
    )  # fmt: skip


def _add_seams(axes: Axes, moment: SkinMoment) -> None:
    for one in scar_stretches(moment.scar):
        _add_lines(axes, [one.line_mm], color=PEN, linewidth=1.6)
        _add_lines(axes, seam_ticks(one.line_mm, one.pull, _TICK_SCALE), color=PEN, linewidth=0.9)
        axes.annotate(
            f"{one.pull} pull", one.line_mm[len(one.line_mm) // 2], xytext=(4, 4),
            textcoords="offset points", fontsize=8, zorder=6,
        )  # fmt: skip


def _set_frame(axes: Axes, film: SkinFilm, moment: SkinMoment) -> None:
    axes.set_xlim(film.low_mm[0], film.high_mm[0])
    axes.set_ylim(film.low_mm[1], film.high_mm[1])
    axes.set_aspect("equal")
    axes.set_xlabel(f"{Side.LEFT}   mm off the midline   {Side.RIGHT}")
    axes.set_ylabel("mm above the coccyx tip, head upwards")
    axes.set_title(moment.name if moment.computed else f"{moment.name} (drawn, not computed)")


def _add_lines(axes: Axes, lines: Iterable[Sequence[tuple[float, float]]], **look: object) -> None:
    axes.add_collection(LineCollection([np.array(line) for line in lines], zorder=5, **look))


def _add_area(axes: Axes, rings: Sequence[Polyline2], **look: object) -> None:
    """Fill between rings; holes run the other way round."""
    if rings:
        closed = [Path(np.array([*ring, ring[0]]), closed=True) for ring in rings]
        axes.add_patch(PathPatch(Path.make_compound_path(*closed), **look))
