"""The page "The skin, before and after": its pictures, their key and what the figures mean."""

from typing import Any

from crena.draw.disease import on_skin
from crena.draw.inks import (
    CARRIED_GRID,
    CARRIED_MIDLINE,
    EDGE_OF_CUT,
    FLAP,
    GRID_LINE,
    MIDLINE,
    WEAVE,
    WRINKLE,
)
from crena.draw.marks import Line, Mark, Strokes
from crena.draw.patterns import WAVE_STEP_MM, hatch_between, places_between, waves
from crena.draw.skin_pictures import (
    BAND_LETTERS,
    STANDS_UP,
    View,
    moment_picture,
    picture_size_mm,
    seam_marks,
    tension_marks,
)
from crena.draw.svg import svg_of
from crena.draw.tongues import Entered, said
from crena.draw.words import capital, flap_side, joined_units, span, unsplit, with_unit
from crena.records import Plan, PlanSet, PullClass, SkinFilm, SkinMoment, TensionBand
from crena.records.numbers import whole

_SMALL_MM = (54.0, 55.0)
"""Largest width and height of the three moments before the sutures, rulers included."""

_LARGE_MM = (98.0, 88.0)
"""Largest width and height of the two pictures of the sutured skin."""

_LEAD = (
    " One guessed skin. *Relative, not validated.* *Drawn*: to show the way. *Computed*: with "
    "all forces in balance."
)
_WIDTH_MM, _HEIGHT_MM = 14.0, 5.0
"""Of a sample in the keys."""

_ACROSS = ((0.0, _HEIGHT_MM / 2), (_WIDTH_MM, _HEIGHT_MM / 2))
_AREA = ((0.0, 0.0), (_WIDTH_MM, 0.0), (_WIDTH_MM, _HEIGHT_MM), (0.0, _HEIGHT_MM))
_WOVEN = (*hatch_between([_AREA], 3.4, 50.0), *hatch_between([_AREA], 3.4, 140.0))
_CROSSED = (((4.0, 0.0), (4.0, _HEIGHT_MM)), ((10.0, 0.0), (10.0, _HEIGHT_MM)), _ACROSS)
_SAMPLE_EDGE_MM = 0.3
_SEAM_RATIO = 0.6
"""Scale of the samples of seams: about that of the pictures."""

_THIRDS = {
    PullClass.LOW: "up to a third of the hardest pull per mm of this scar.",
    PullClass.MIDDLE: "up to two thirds of it.",
    PullClass.HIGH: "above two thirds of it.",
}


def skin_page(plan_set: PlanSet, plan: Plan, film: SkinFilm) -> dict[str, Any]:
    """Return what the page of one plan's skin is filled with.

    Parameters
    ----------
    plan_set : PlanSet
        With the anal verge.
    plan : Plan
        Whose skin is shown; its pull is said as a band.
    film : SkinFilm
        Its moments.

    Returns
    -------
    dict
        Pictures, keys and sentences.
    """
    tract_map = plan_set.tract_map
    verge = on_skin(tract_map, tract_map.anal_verge_mm[:2])
    *before, last = film.moments
    small, large = _ratio(film, _SMALL_MM), _ratio(film, _LARGE_MM)
    lines = [_picture(film, one, View.LINES, small, verge) for one in before]
    views = [_picture(film, last, view, large, verge) for view in View]
    return {
        "heading": "The skin, before and after",
        "lead": unsplit(f"Plan {plan.id}. {flap_side(plan.closure)}.") + _LEAD,
        "before": lines,
        "after": views,
        "lines_key": _lines_key(film),
        "tension_key": _tension_key(last),
        "sentences": [_pull(plan), *_remarks(film, last)],
    }


def _ratio(film: SkinFilm, room_mm: tuple[float, float]) -> float:
    """Return the largest scale, in hundredths, at which a picture fits."""
    for hundredths in range(100, 5, -1):
        width, height = picture_size_mm(film, hundredths / 100)
        if width <= room_mm[0] and height <= room_mm[1]:
            return hundredths / 100
    return 0.05


def _picture(
    film: SkinFilm, moment: SkinMoment, view: View, ratio: float, verge: tuple[float, float]
) -> dict[str, Any]:
    svg, width_mm = moment_picture(film, moment, scale_ratio=ratio, view=view, anal_verge_mm=verge)
    name = "Tension, sutured" if view is View.TENSION else capital(moment.name)
    return {
        "svg": svg.decode(),
        "width_mm": width_mm,
        "name": name,
        "note": "computed" if moment.computed else "drawn",
        "alt": f"{name}; head upwards, patient's right on the right.",
    }


def _lines_key(film: SkinFilm) -> list[dict[str, Any]]:
    flap = [
        _entry([Line(points=_AREA, ink=FLAP, closed=True), Strokes(lines=_WOVEN, ink=WEAVE)],
               "Flap. Its base has no line.")
    ] if film.moments[0].flaps_mm else []  # fmt: skip
    return [
        _entry([Line(points=_ACROSS, ink=EDGE_OF_CUT)], "Edge of a cut."),
        *flap,
        _entry([Strokes(lines=_CROSSED, ink=CARRIED_GRID)],
               "Lines 10 mm apart on the skin before the cut. They move with it."),
        _entry([Line(points=_ACROSS, ink=CARRIED_MIDLINE)],
               "Skin that lay on the midline before the cut."),
        _entry([Line(points=_ACROSS, ink=MIDLINE)], "Midline of the body. It never moves."),
        *(_seam_entry(pull) for pull in PullClass),
    ]  # fmt: skip


def _seam_entry(pull: PullClass) -> dict[str, Any]:
    line = tuple((x / _SEAM_RATIO, y) for x, y in _ACROSS)
    marks = seam_marks(line, pull, _SEAM_RATIO)
    return _entry(marks, f"*{capital(pull)} pull*: {_THIRDS[pull]}", scale_ratio=_SEAM_RATIO)


def _tension_key(moment: SkinMoment) -> list[dict[str, Any]]:
    edge = Line(points=_AREA, ink=GRID_LINE, closed=True)
    entries = [
        _entry([*tension_marks([_AREA], number, 1.0), edge], f"*{letter}*: {_times(band)}")
        for number, (letter, band) in enumerate(zip(BAND_LETTERS, moment.tension, strict=False))
    ]
    if len(entries) > 1:
        low, high = moment.tension[0].high_ratio, moment.tension[1].low_ratio
        entries.insert(1, _entry([edge], f"*Blank*: {low:g} to {high:g} times, about as before."))
    folds = Strokes(lines=waves(places_between([_AREA], WAVE_STEP_MM), 1.0), ink=WRINKLE)
    return [*entries, _entry([folds], f"No tension in one direction: *{STANDS_UP}*.")]


def _times(band: TensionBand) -> str:
    if band.high_ratio is None:
        return f"more than {band.low_ratio:g} times."
    if band.low_ratio == 0:
        return f"less than {band.high_ratio:g} times the tension before."
    return f"{band.low_ratio:g} to {band.high_ratio:g} times."


def _entry(
    marks: list[Mark] | tuple[Mark, ...], words: str, *, scale_ratio: float = 1.0
) -> dict[str, Any]:
    middle, k = _HEIGHT_MM / 2, scale_ratio
    half = (middle + _SAMPLE_EDGE_MM) / k
    right = (_WIDTH_MM + _SAMPLE_EDGE_MM) / k
    frame = (-_SAMPLE_EDGE_MM / k, middle - half, right, middle + half)
    plain = Entered(said(words).replace("*", ""))
    return {
        "svg": svg_of(marks, frame, plain, scale_ratio=scale_ratio).decode(),
        "width_mm": _WIDTH_MM + 2 * _SAMPLE_EDGE_MM,
        "words": joined_units(words),
        "alt": plain,
    }


def _pull(plan: Plan) -> str:
    known = plan.mechanics
    if known is None:
        return "Total pull of the plan: not computed."
    if known.total_low_n is None or known.total_high_n is None or known.total_force_n is None:
        return f"Total pull of the plan: no figure. {capital(known.reason)}"
    band = span(known.total_low_n, known.total_high_n, "N")
    return (
        f"Total pull of the plan: *{band}* in 9\u00a0of\u00a010 guessed skins, middle "
        f"{with_unit(whole(known.total_force_n), 'N')}. Relative, not validated."
    )


def _remarks(film: SkinFilm, last: SkinMoment) -> list[str]:
    window = with_unit(whole(film.window_mm), "mm")
    radius = with_unit(whole(film.disc_radius_mm), "mm")
    folds = (
        "The model is flat: it says where skin may stand up, not how high."
        if last.wrinkles_mm
        else "No skin is wide enough without tension to stand up."
    )
    return [
        f"Pull is judged for each {window} of scar. Single stitches at corners pull more.",
        f"Tension is the largest in any direction, as a mean over discs of {radius} radius.",
        folds,
        "Another skin pulls and folds elsewhere.",
    ]
