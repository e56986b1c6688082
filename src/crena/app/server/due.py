"""What is due today and what is overdue, over all cases."""

from collections.abc import Iterator
from datetime import date

from fastapi import APIRouter

from crena.app.server.desk import AtDesk, Desk
from crena.healing.agenda import due_of
from crena.planning.aftercare import agenda_of
from crena.records import InputError
from crena.records.roads import DueLine
from crena.store.revisions import case_lines, read_case

routes = APIRouter(prefix="/api/due", tags=["due"])


@routes.get("")
def get_due(desk: AtDesk) -> tuple[DueLine, ...]:
    """List what somebody has to do today, the longest overdue first; what was done is not in it."""
    operated = [line.case_id for line in case_lines(desk.store) if line.operated_on]
    found = [due for case_id in operated for due in _due(desk, case_id)]
    return tuple(sorted(found, key=lambda due: (due.on or date.min, due.label, due.code)))


def _due(desk: Desk, case_id: str) -> Iterator[DueLine]:
    """Yield the tasks of one case; dates that cannot be made are themselves due to be mended."""
    case = read_case(desk.store, case_id, desk.author("due today")).dossier.case
    label = case.patient.label
    try:
        tasks = due_of(agenda_of(case, date.today()))
    except InputError as refusal:
        yield DueLine(case_id=case_id, label=label, what=str(refusal))
        return
    for each in tasks:
        yield DueLine(
            case_id=case_id,
            label=label,
            what=each.task.task,
            code=each.task.code,
            rule=each.rule,
            on=each.task.on,
            state=each.state,
            stop=each.stop,
        )
