"""What counts as which grade of a complication."""

from fastapi import APIRouter

from crena.records.complications import GradeRule
from crena.store.tables import grade_rules

routes = APIRouter(prefix="/api/complications", tags=["healing"])


@routes.get("/grades")
def get_grades() -> tuple[GradeRule, ...]:
    """Return each grade with its meaning and the unit's own rule, the mildest first."""
    return grade_rules()
