"""A plan as a hand moves it: what it comes to, and by what it can be moved on."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.closures import Closure, Scar, Shape
from crena.records.excisions import Excision
from crena.records.moves import MoveKind
from crena.records.plans import LimitCheck
from crena.records.shapes import Point2


class HandleAct(StrEnum):
    """What a handle does when it is moved."""

    TURN_AND_SIZE = "turn and size"  # the opposite corner stays, the angles stay
    WIDEN = "widen"  # the long diagonal stays
    SHIFT = "shift"  # this corner alone moves, along the short diagonal
    RAISE = "raise"  # turns the first limb
    TIP = "tip"  # turns the second limb
    CARRY = "carry"  # everything moves along
    POLE = "pole"  # this end alone moves
    BULGE = "bulge"  # one edge moves in or out


@dataclass(frozen=True, slots=True, kw_only=True)
class HandlePoint(Record):
    """A point of a drawing that can be moved."""

    name: str
    at_mm: Point2
    act: HandleAct


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview(Record):
    """A moved plan, measured by geometry alone: without its pull and its filling."""

    plan: str  #: letter of the plan that was moved
    code: str  #: of the plans it is one of
    excision: Excision
    closure: Closure
    scar: Scar
    shape: Shape
    limits: tuple[LimitCheck, ...]
    handles: tuple[HandlePoint, ...]
    also: tuple[MoveKind, ...]  #: what else can be done to it
    cut_through: tuple[str, ...]  #: parts of the disease that a wall goes through
    full: bool  #: the chance is taken over all errors; else over a few, while the hand moves
