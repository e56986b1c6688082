"""The tables of the plan sheet: what is there, what is kept, what was refused, what it rests on."""

from collections.abc import Iterable
from typing import Any

from crena.draw.bands import KAPLAN
from crena.draw.tongues import Entered, part_name, said
from crena.draw.words import (
    NARROW,
    capital,
    counted,
    flap_side,
    from_tip,
    off_midline,
    scar_after_sentence,
    span,
    unsplit,
    with_unit,
)
from crena.records import (
    Clearance,
    Comparator,
    Disagreement,
    LimitCheck,
    Plan,
    PlanSet,
    Spot,
    Tract,
    TractMap,
)
from crena.records.numbers import at_least, whole
from crena.records.statements import CAUTION

_ASSUMPTION_OF_DRAWING = (
    "The sewn drawings are an ideal: the flap fills the wound, nothing around it is displaced."
)

_SCAR_MARKS = "The two marks for the lower end of the scar: " + KAPLAN


def details(plan_set: PlanSet, plan: Plan) -> dict[str, Any]:
    """Return everything that the pages after the first say in words.

    Parameters
    ----------
    plan_set : PlanSet
        The whole answer.
    plan : Plan
        The plan that is drawn.

    Returns
    -------
    dict
        Tables as rows of strings, lists of sentences.
    """
    return {
        "tracts": tract_rows(plan_set.tract_map),
        "spots": [_spot(spot) for spot in plan_set.tract_map.spots],
        "map_notes": _map_notes(plan_set.tract_map),
        "disagreements": [_disagreement(one) for one in plan_set.tract_map.disagreements],
        "clearances": [_clearance(one) for one in plan.excision.clearances],
        "excision": _excision(plan_set, plan),
        "limits": [limit_row(check) for check in plan.limits],
        "after": [
            Entered(f"*{one.id}* {said(scar_after_sentence(one))}")
            for one in plan_set.plans
            if one.mechanics
        ],
        "warnings": [unsplit(warning) for warning in plan.closure.warnings],
        "parameters": [
            {"name": one.name, "value": figure(one.value, one.unit)}
            for one in plan.closure.parameters
        ],
        "comparators": [_comparator(one) for one in plan_set.comparators],
        "refused": [
            {
                "kind": capital(one.kind),
                "reason": unsplit(capital(one.reason)),
                "tried": _tried(one.tried, one.kept),
            }
            for one in plan_set.refused
        ],
        "classification": _classification(plan_set),
        "cautions": _sentences(one for one in plan_set.cautions if one != CAUTION),
        "assumptions": _sentences((*plan_set.assumptions, _ASSUMPTION_OF_DRAWING)),
        "sources": [_SCAR_MARKS],
        "made": _made(plan_set),
    }


def tract_rows(tract_map: TractMap) -> list[list[str]]:
    """Return the rows of the tract map's table: tracts, then cavities.

    Parameters
    ----------
    tract_map : TractMap
        What is listed.

    Returns
    -------
    list of list of str
        Name, origin, length, greatest depth, farthest from the midline, volume.
    """
    rows = [_tract(tract) for tract in tract_map.tracts]
    return rows + [
        [
            part_name(cavity.name), cavity.origin, "–", "–", off_midline(cavity.centre_mm[0]),
            _small_volume(cavity.volume_ml),
        ]
        for cavity in tract_map.cavities
    ]  # fmt: skip


def limit_row(check: LimitCheck) -> dict[str, Any]:
    """Return one limit as a row; a figure that only just fails is not rounded to the limit.

    >>> check = LimitCheck(limit="width", asked=20.0, reached=19.8, unit="mm", kept=False)
    >>> limit_row(check)["reached"].replace(chr(160), " ")
    'just short of 20 mm'
    """
    asked, reached = figure(check.asked, check.unit), figure(check.reached, check.unit)
    if not check.kept and asked == reached:
        word = "just short of" if check.reached < check.asked else "just over"
        reached = f"{word} {reached}"
    return {"limit": capital(check.limit), "asked": asked, "reached": reached, "kept": check.kept}


def figure(value: float, unit: str) -> str:
    """Return a figure at the resolution that its unit is worked to.

    >>> figure(0.70, ""), figure(19.6, "mm").replace(chr(160), " "), figure(13.4, "deg")
    ('0.7', '20 mm', '13°')
    """
    if unit in ("", "ratio", "fraction"):
        return f"{value:.2f}".rstrip("0").rstrip(".")
    if unit in ("deg", "degrees", "°"):
        return f"{whole(value)}°"
    return with_unit(whole(value), unit)


def _tract(tract: Tract) -> list[str]:
    spread = f"{NARROW}±{NARROW}{max(1, whole(tract.length_sd_mm))}{NARROW}mm"
    return [
        Entered(tract.name),
        tract.origin,
        f"{whole(tract.length_mm)}{spread}",
        with_unit(whole(tract.depth_mm), "mm"),
        with_unit(whole(tract.lateral_reach_mm), "mm"),
        _small_volume(tract.volume_ml),
    ]


def _small_volume(volume_ml: float) -> str:
    return f"under{NARROW}1{NARROW}mL" if volume_ml < 1 else with_unit(whole(volume_ml), "mL")


def _spot(spot: Spot) -> str:
    return (
        f"{spot.name}: a bright spot {with_unit(whole(spot.gap_mm), 'mm')} from the nearest tract, "
        "joined to nothing. It is neither merged nor dropped."
    )


def _map_notes(tract_map: TractMap) -> list[str]:
    branch = tract_map.smallest_branch_mm
    seen = (
        "No smallest branch is stated: nothing says how thin a branch could have been seen."
        if branch is None
        else f"Branches thinner than {with_unit(-at_least(-branch), 'mm')} may be missed in this "
        "series."
    )
    error = with_unit(max(1, whole(tract_map.registration_sd_mm)), "mm")
    shared = f"The whole map may lie off by {error} each way on the table (one standard deviation)."
    return [seen, shared, *(unsplit(note) for note in tract_map.notes)]


def _disagreement(one: Disagreement) -> list[str]:
    length = whole(one.length_mm)
    word = "longer on the scan" if length > 0 else "shorter on the scan"
    difference = f"{with_unit(abs(length), 'mm')} {word}" if length else "equal"
    return [
        Entered(one.tract),
        with_unit(whole(one.blind_end_mm), "mm"),
        with_unit(whole(one.mean_mm), "mm"),
        difference,
    ]


def _clearance(one: Clearance) -> list[str]:
    return [
        part_name(one.part),
        one.wall,
        with_unit(at_least(one.least_mm), "mm"),
        with_unit(at_least(one.floor_mm), "mm"),
        f"{from_tip(one.at_mm[1])}, {off_midline(one.at_mm[0])}",
    ]


def _excision(plan_set: PlanSet, plan: Plan) -> list[str]:
    cut = plan.excision
    margin = with_unit(whole(plan_set.limits.drawn_margin_mm), "mm")
    angle = whole(cut.outline.wall_angle_deg)
    walls = "Walls straight down" if angle == 0 else f"Walls {angle}° wider at the floor"
    return [
        f"{walls}, down to the fascia: at most {with_unit(whole(cut.depth_mm), 'mm')} deep.",
        f"Takes {span(cut.volume_low_ml, cut.volume_high_ml, 'mL')}; about "
        f"{with_unit(whole(cut.healthy_ml), 'mL')} of it is healthy tissue beyond the drawn margin "
        f"of {margin}.",
        _nineteen_of_20(cut.chance_clear.quantile05_mm),
    ]


def _nineteen_of_20(quantile05_mm: float) -> str:
    if quantile05_mm < 0:
        return f"In 1 of{NARROW}20 repeats a wall cuts into the disease."
    clear = with_unit(at_least(quantile05_mm), "mm")
    return f"In 19 of{NARROW}20 repeats the true clearance of the walls is {clear} or more."


def _comparator(one: Comparator) -> dict[str, str]:
    least = one.scar.least_midline_mm
    where = (
        "The scar meets the midline."
        if whole(least) == 0
        else f"The scar stays {with_unit(whole(least), 'mm')} off the midline."
    )
    return {
        "name": unsplit(capital(one.closure.name)),
        "side": flap_side(one.closure),
        "figures": f"Scar {with_unit(whole(one.scar.length_mm), 'mm')}. {where}",
        "warning": unsplit(one.warning),
    }


def _tried(tried: int, kept: int) -> str:
    return f"{_thousands(tried)} tried, {_thousands(kept)} kept"


def _thousands(count: int) -> str:
    return f"{count:,}".replace(",", NARROW)


def _classification(plan_set: PlanSet) -> str:
    found = plan_set.classification
    return unsplit(f"Class {found.label} ({found.scheme}): {found.definition}")


def _sentences(texts: Iterable[str]) -> list[str]:
    return [unsplit(text) for text in texts]


def _made(plan_set: PlanSet) -> list[str]:
    versions = ", ".join(f"{name}{NARROW}{v}" for name, v in sorted(plan_set.versions.items()))
    candidates = f"{_thousands(plan_set.candidates)} closures were tried"
    shown = counted(len(plan_set.plans), "plan", "plans")
    return [
        f"Made on {plan_set.made_on} from inputs {plan_set.inputs_hash}.",
        f"{candidates}, seed {plan_set.seed}; {shown} shown.",
        f"Versions: {versions}.",
    ]
