"""Plans, refusals, and the whole answer to one case."""

from dataclasses import dataclass
from typing import Final, Literal

from crena.records.base import Record
from crena.records.cases import Limits
from crena.records.closures import Closure, Scar, Shape
from crena.records.excisions import Excision
from crena.records.fillings import Filling
from crena.records.mechanics import Mechanics
from crena.records.moves import Moved
from crena.records.tracts import TractMap

PLAN_SCHEMA: Final = "crena.plan/1"
"""Name and version of the plan file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitCheck(Record):
    """One limit, what the plan reaches, and whether it is kept."""

    limit: str
    asked: float
    reached: float
    unit: str
    kept: bool
    hard: bool = True  #: a plan that breaks it is not shown; else it is shown with a caution


@dataclass(frozen=True, slots=True, kw_only=True)
class Recut(Record):
    """How a plan made in theatre stands to the hole that is cut already and to the first plan."""

    more_mm2: float  #: skin that must still be cut away; 0: the hole stays as it is
    furthest_mm: float  #: how far the new outline lies outside of the hole, at most
    changed: tuple[str, ...]  #: sentences: what differs from the plan that was cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan(Record):
    """An excision with its closure, and what is known of both."""

    id: str  #: A, B, C ...
    best_at: str  #: one sentence: what it does better than the others
    price: str  #: one sentence: what it costs, or empty
    excision: Excision
    closure: Closure
    scar: Scar
    shape: Shape
    limits: tuple[LimitCheck, ...]
    mechanics: Mechanics | None = None  #: none: not computed
    dead_space_ml: float | None = None  #: none: not computed
    filling: Filling | None = None
    recut: Recut | None = None  #: none: nothing was cut when this was planned
    moved: Moved | None = None  #: none: as planned; else how the surgeon moved another plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparator(Record):
    """A closure that is shown only to compare, with the warning published against it."""

    excision: Excision
    closure: Closure
    scar: Scar
    warning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal(Record):
    """A kind of closure that was tried and not kept, and why."""

    kind: str
    reason: str
    tried: int
    kept: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Classification(Record):
    """A class of the disease by a published scheme, with the definition that was used."""

    scheme: str
    label: str
    definition: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSet(Record):
    """The answer to one case: the content of a plan file."""

    schema: Literal["crena.plan/1"]
    case_label: str
    allergies: str  #: one sentence, on every page
    code: str  #: short name of exactly these inputs, printed on every page
    made_on: str  #: ISO date
    inputs_hash: str  #: SHA-256 of case and scan
    seed: int
    versions: dict[str, str]
    tract_map: TractMap
    classification: Classification
    limits: Limits
    excision: Excision  #: of the plan that is drawn
    plans: tuple[Plan, ...]
    chosen: str  #: the plan that the template shows
    chosen_by_surgeon: bool
    order: str  #: what is said of the order of the plans
    would_change: str  #: what of the skin would change which plan pulls least; or empty
    candidates: int
    comparators: tuple[Comparator, ...]
    refused: tuple[Refusal, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[str, ...]
