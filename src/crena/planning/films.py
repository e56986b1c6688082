"""The film of a plan: the skin as cut, while the flaps turn, and sutured."""

from crena.mechanics.film import film_closure
from crena.mechanics.material import Skin
from crena.records import CrenaError, PlanSet, SkinFilm


def films_of(plan_set: PlanSet, skin: Skin) -> dict[str, SkinFilm]:
    """Return the film of the plan that is drawn, by its letter; none if no balance was found."""
    plan = next(plan for plan in plan_set.plans if plan.id == plan_set.chosen)
    if plan.mechanics is None or plan.mechanics.total_force_n is None:
        return {}
    try:
        return {plan.id: film_closure(plan.closure, skin)}
    except CrenaError:
        return {}
