"""What follows the operation: the healing plan of today."""

from datetime import date

from fastapi import APIRouter

from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk
from crena.app.server.plans import followed_set_of
from crena.planning.aftercare import healing_plan
from crena.records import HealingPlan
from crena.store.revisions import read_case
from crena.store.tables import suture_tables

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["healing"])


@routes.get("/healing", responses=MISSING)
def get_healing(case_id: str, desk: AtDesk) -> HealingPlan:
    """Return layers, support, drain forecast and dates as of today."""
    found = read_case(desk.store, case_id, desk.author("healing"))
    plan_set = followed_set_of(desk, case_id, found.dossier)
    return healing_plan(found.dossier.case, plan_set, suture_tables(), date.today())
