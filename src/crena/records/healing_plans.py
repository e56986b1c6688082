"""From the last stitch to the healed wound: all that is known and foreseen, for the sheets."""

from dataclasses import dataclass
from typing import Final, Literal

from crena.records.base import Record
from crena.records.drains import DrainForecast, DrainRule
from crena.records.operations import OperationNote, OperationRecord
from crena.records.plans import Plan
from crena.records.preparations import Matter, Preparation
from crena.records.schedules import AgendaTask, Schedule
from crena.records.support import Support
from crena.records.sutures import LayerPlan

HEALING_SCHEMA: Final = "crena.healing/1"
"""Name and version of the healing file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainRead(Record):
    """One day of all drains together, as a volume in 24 hours."""

    day: int  #: from the operation
    ml_per_day: float | None  #: none: not measured
    counts: bool  #: it can meet the surgeon's rule


@dataclass(frozen=True, slots=True, kw_only=True)
class HealingPlan(Record):
    """The content of a healing file, and of every sheet after the plan."""

    schema: Literal["crena.healing/1"] = HEALING_SCHEMA
    case_label: str
    allergies: str  #: one sentence, on every page
    code: str  #: of the plan; printed on every page
    made_on: str  #: ISO date
    plan: Plan | None  #: the plan that was chosen; none: not planned here
    matters: tuple[Matter, ...]  #: to settle before the operation
    preparation: Preparation
    dye: str  #: where to stop with dye, or why there is no dye step; empty without a plan
    operation: OperationRecord | None
    note: OperationNote | None
    schedule: Schedule | None  #: none before the operation
    agenda: tuple[AgendaTask, ...]  #: the same dates and what else is due, done or not
    layers: LayerPlan | None
    support: Support | None
    support_reason: str  #: why there is no figure of support; or empty
    drain_rule: DrainRule
    drain_days: tuple[DrainRead, ...]
    drain: DrainForecast | None
    call_at: str
    cautions: tuple[str, ...]

    @property
    def may_have_drain(self) -> bool:
        """Tell whether a drain may lie: it does unless it is recorded that none was laid."""
        return self.operation is None or self.operation.drains != ()
