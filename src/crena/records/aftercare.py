"""What the surgeon wants after the operation, and what was read since."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from crena.records.base import Between, CalendarDay, Record
from crena.records.complications import Complication
from crena.records.drains import DrainCourse, DrainRule
from crena.records.schedules import ScheduleSettings, TaskDone
from crena.records.sides import Answer
from crena.records.sutures import LayerTemplate


@dataclass(frozen=True, slots=True, kw_only=True)
class Aftercare(Record):
    """Wishes and readings of one case; every default is common practice."""

    schedule: ScheduleSettings = ScheduleSettings()
    layers: tuple[LayerTemplate, ...] = ()  #: as sewn; none: the common template
    multiple_ratio: Annotated[float, Between(1, 20)] = 2.0  #: support over load that is asked
    contaminated: Answer = Answer.NOT_ASKED
    drain_rule: DrainRule = DrainRule()
    drain: DrainCourse | None = None
    call_at: str = ""  #: whom the patient calls: telephone and hours, as the unit writes it
    drain_out_on: Annotated[date, CalendarDay()] | None = None  #: none: it lies, or none was laid
    stitches_out_on: Annotated[date, CalendarDay()] | None = None  #: the last of them
    complications: tuple[Complication, ...] = ()
    done: tuple[TaskDone, ...] = ()  #: entries of the schedule; drain and stitches have their own
