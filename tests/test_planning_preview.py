"""Plans moved by hand: what stays, what follows, what is refused, and how sure a figure is."""

from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored, tract_map

from crena.planning.compose import plan_case, search
from crena.planning.compose import _verge as verge_of
from crena.planning.measuring import measured_plan
from crena.planning.preview import ground_of, preview
from crena.planning.rhombic_search import DUFOURMENTEL, FREE, LIMBERG, MOVED_CORNER, TIP_30
from crena.records import InputError, Limits, Move, MoveKind, Side

ADVANCEMENT = "asymmetric advancement"
FAMILIES = (LIMBERG, MOVED_CORNER, DUFOURMENTEL, TIP_30, FREE, ADVANCEMENT)
LIMITS = case().limits


@pytest.fixture(scope="module")
def ground():
    return ground_of(tract_map(), case().precision, case().seed)


@pytest.fixture(scope="module")
def plans(ground):
    """One plan of each family, the last of its list, as planning itself measures it."""
    families = search(ground.field, LIMITS, ground.anal_verge_mm)
    made = {
        family.family: measured_plan(
            (family, len(family) // 3), ground.field, case(), ground.anal_verge_mm
        )
        for family in families
    }
    return {name: replace(plan, id="A") for name, plan in made.items()}


@pytest.fixture(scope="module")
def moved(plans, ground):
    def look(family, *moves, limits=LIMITS, full=False):
        return preview(plans[family], moves, limits, ground, full=full)

    return look


def put(handle, to, by=(0.0, 0.0)):
    return Move(
        kind=MoveKind.PLACE, handle=handle, to_mm=tuple(float(v) for v in np.add(to, by))
    )


def by(seen, handle, step):
    """Return the move of a handle by a step from where it lies."""
    return put(handle, next(h.at_mm for h in seen.handles if h.name == handle), step)


@pytest.mark.parametrize("family", FAMILIES)
def test_an_unmoved_plan_is_what_planning_itself_measured(family, plans, moved):
    plan, seen = plans[family], moved(family, full=True)
    assert (seen.closure.kind, seen.closure.name) == (plan.closure.kind, plan.closure.name)
    assert seen.closure.warnings == plan.closure.warnings
    for name, at in plan.closure.points_mm.items():
        assert np.allclose(seen.closure.points_mm[name], at, atol=1e-7)
    assert np.allclose(seen.excision.outline_mm, plan.excision.outline_mm, atol=1e-7)
    assert [c.wall for c in seen.excision.clearances] == [c.wall for c in plan.excision.clearances]
    for name in ("least_clearance_mm", "depth_mm", "area_mm2"):
        assert getattr(seen.excision, name) == pytest.approx(getattr(plan.excision, name), abs=1e-6)
    for name in ("volume_ml", "healthy_ml"):  # by triangles and cells: noise of the last digit shows
        assert getattr(seen.excision, name) == pytest.approx(getattr(plan.excision, name), abs=0.01)
    assert seen.excision.chance_clear.chance == pytest.approx(
        plan.excision.chance_clear.chance, abs=1e-6
    )
    assert np.allclose([c.reached for c in seen.limits], [c.reached for c in plan.limits], atol=1e-6)
    assert [c.kept for c in seen.limits] == [c.kept for c in plan.limits]
    assert seen.scar.length_mm == pytest.approx(plan.scar.length_mm, abs=1e-6)
