"""What a surgeon changes of a drawn plan by hand."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.shapes import Point2


class MoveKind(StrEnum):
    """What is done to a drawing."""

    PLACE = "place"  # a handle is put to another place
    OTHER_SIDE = "other side"  # the same cut, its flap from the other side
    OTHER_HINGE = "other hinge"  # the same cut, its flap hinged at the other end
    MIRROR = "mirror"  # cut and flap change sides
    REFIT = "refit"  # the cut grows or shrinks until its walls keep the drawn margin


@dataclass(frozen=True, slots=True, kw_only=True)
class Move(Record):
    """One change; a list of them, done in order, is a whole change of a plan."""

    kind: MoveKind
    handle: str = ""  #: of PLACE: which
    to_mm: Point2 | None = None  #: of PLACE: whereto, (s, y)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved(Record):
    """How a plan of the surgeon's own came about."""

    of: str  #: letter of the plan that was moved
    moves: tuple[Move, ...]
