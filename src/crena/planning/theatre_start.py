"""What theatre begins with: the hole as planned, what may be sewn, and the steps of the day."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count

from crena.planning.theatre import corners_as_planned
from crena.planning.wounds import hole_size_mm
from crena.records import (
    HealingPlan,
    LayerDone,
    LayerTemplate,
    MeasuredCorner,
    Plan,
    PlanSet,
    Record,
    Side,
    TractMap,
)
from crena.records.numbers import whole

STEPS = {
    "marked": "Side and marks checked against the template",
    "dye": "Dye in, stopped at first resistance",
    "cut": "Skin cut",
    "out": "Specimen out, thread at its head end",
    "dry": "Bed dry, no dye left",
    "raised": "Flap raised",
    "drain": "Drain laid",
    "donor": "Donor side closed",
    "placed": "Flap in place",
    "counted": "Counts agree",
    "closed": "Skin closed",
}
"""By a short name: the steps that are timed, in their usual order (common practice)."""

FLAP_STEPS = ("raised", "donor", "placed")


@dataclass(frozen=True, slots=True, kw_only=True)
class StepName(Record):
    """A step that can be timed."""

    code: str
    words: str  #: as it is recorded


@dataclass(frozen=True, slots=True, kw_only=True)
class TheatreStart(Record):
    """What is laid ready for theatre; suggestions are suggestions until they are confirmed."""

    code: str  #: of the plans
    plan: str  #: letter of the plan to be cut
    name: str  #: of its closure
    flap_from: Side | None
    allergies: str
    dye: str  #: where to stop with dye, or why there is no dye step
    corners: tuple[MeasuredCorner, ...]  #: of the hole as planned, in whole millimetres
    length_mm: int  #: from the first corner to the third, as planned
    width_mm: int  #: from the second corner to the fourth, as planned
    depth_mm: int
    walls: tuple[str, ...]
    pits: tuple[str, ...]
    branch: str  #: a name that no tract has yet
    steps: tuple[StepName, ...]
    layers: tuple[LayerDone, ...]  #: as computed for the plan
    hole: tuple[MeasuredCorner, ...] = ()  #: as it was found, by its corners or its size
    hole_refused: str = ""  #: why its size can be none of this plan's hole
    old: bool = False  #: the plans made in theatre are for another hole than the one entered


def theatre_start(
    plan_set: PlanSet, cut: Plan, healing: HealingPlan, templates: tuple[LayerTemplate, ...]
) -> TheatreStart:
    """Return what theatre begins with.

    Parameters
    ----------
    plan_set : PlanSet
        The plans.
    cut : Plan
        The one to be cut.
    healing : HealingPlan
        Of this case as it is now, for allergies, dye and layers.
    templates : tuple of LayerTemplate
        The layers that the healing plan was computed with.
    """
    side = cut.closure.donor_side
    length_mm, width_mm = hole_size_mm(cut.closure)
    return TheatreStart(
        code=plan_set.code,
        plan=cut.id,
        name=cut.closure.name,
        flap_from=side,
        allergies=healing.allergies,
        dye=healing.dye,
        corners=corners_as_planned(cut),
        length_mm=whole(length_mm),
        width_mm=whole(width_mm),
        depth_mm=whole(cut.excision.depth_mm),
        walls=tuple(wall.name for wall in cut.excision.outline.walls),
        pits=tuple(pit.name for pit in plan_set.tract_map.pits),
        branch=free_name(plan_set.tract_map),
        steps=tuple(
            StepName(code=code, words=words)
            for code, words in STEPS.items()
            if cut.closure.flaps or code not in FLAP_STEPS
        ),
        layers=_layers(healing, templates),
    )


def free_name(tract_map: TractMap, taken: Sequence[str] = ()) -> str:
    """Return the first of T1, T2, ... that no tract has."""
    known = {*taken, *(tract.name for tract in tract_map.tracts)}
    return next(name for n in count(1) if (name := f"T{n}") not in known)


def _layers(healing: HealingPlan, templates: tuple[LayerTemplate, ...]) -> tuple[LayerDone, ...]:
    """Return the layers that were computed, with their stitches, by the names that are recorded."""
    if healing.layers is None:
        return ()
    stitches = {layer.name: layer.stitches for layer in healing.layers.layers}
    return tuple(
        LayerDone(
            name=each.name,
            material=each.material.value,
            size=each.size,
            stitches=stitches[each.name],
        )
        for each in templates
        if each.name in stitches
    )
