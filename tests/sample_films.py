"""Films of the skin for tests: real closures on a coarse mesh, each computed once."""

from functools import cache

from sample_plans import advancement_plan, rhombic_plan

from crena.mechanics.closed import ClosureState
from crena.mechanics.film import film_state
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.solver import close_wound
from crena.records import ClosureKind, Plan, Side, SkinFilm

COARSE_MM = 8.0
SHEET_MM = 240.0

PLANS: dict[str, Plan] = {
    "flap from the right": rhombic_plan("A", ClosureKind.LIMBERG),
    "flap from the left": rhombic_plan("A", ClosureKind.LIMBERG, donor=Side.LEFT),
    "advancement": advancement_plan("D"),
}
"""Limberg flaps from both sides, and a lens with both poles on the patient's left."""


@cache
def state_of(name: str) -> ClosureState:
    """Return the sutured skin of a plan, on the assumed skin and a coarse mesh."""
    closure = PLANS[name].closure
    sheet = mesh_closure(closure, seam_step_mm=COARSE_MM, sheet_mm=SHEET_MM)
    return close_wound(sheet, ASSUMED_SKIN)


@cache
def film_of(name: str) -> SkinFilm:
    """Return the film of a plan."""
    return film_state(PLANS[name].closure, state_of(name))
