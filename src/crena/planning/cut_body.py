"""What a moved plan takes out as one body, for the slices of a scan to cut."""

from collections.abc import Sequence
from dataclasses import dataclass

from crena.geometry.slicing import Solid
from crena.planning.preview import Ground, drawing_of, moved
from crena.records import Limits, Move, Plan, Point3, Record, point3
from crena.sinus.clearance import wall_gaps
from crena.sinus.parts import Part
from crena.sinus.specimen import specimen_solid
from crena.sinus.walls import wall_sheets


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutBody(Record):
    """An excision as a body, and where its walls come nearest to the disease in the depth."""

    solid: Solid  #: in the skin frame
    nearest_mm: Point3  #: the place on a tract or cavity that a wall comes nearest to


def cut_body(plan: Plan, moves: Sequence[Move], limits: Limits, ground: Ground) -> CutBody:
    """Move a plan, and close what its walls and the fascia enclose.

    Parameters
    ----------
    plan : Plan
        As planned.
    moves : sequence of Move
        Done in order; none: the plan as it is.
    limits : Limits
        For the lean of the walls.
    ground : Ground
        From `ground_of`.

    Raises
    ------
    InputError
        If a move is none that this plan can make, or what comes of it cannot be drawn.
    """
    field = ground.field
    moving = moved(plan.closure, moves, limits, ground)
    sheets = wall_sheets(drawing_of(moving, limits.wall_angle_deg).outline, field.skin, field.floor)
    gaps = wall_gaps(_in_the_depth(field.parts), sheets)
    return CutBody(
        solid=specimen_solid(sheets, field.skin, field.floor),
        nearest_mm=point3(min(gaps, key=lambda gap: float(gap.gaps[0])).at),
    )


def _in_the_depth(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """Leave out the pits, single balls that no slice shows, unless there is nothing else."""
    return tuple(part for part in parts if len(part.points) > 1) or parts
