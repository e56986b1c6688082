"""Every family of closures closes, on stiffening and on plain skin, and alike when mirrored."""

from dataclasses import replace

import numpy as np
import pytest
from sample_closures import RANDOM
from sample_sheets import a_skin

from crena.mechanics.closed import Status
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mesh import mesh_closure, mirrored
from crena.mechanics.readings import areal_balance_mm2, suture_forces
from crena.mechanics.solver import close_wound
from crena.records import ClosureKind

PLAIN = a_skin(
    shear_kpa=30.0, fibre_kpa=0.0, tension_along_n_per_mm=0.0157, tension_across_n_per_mm=0.0157
)
TURNED = a_skin(axis_deg=25.0)


def closures(draw, count):
    """Return random closures with seams."""
    rng, found = np.random.default_rng(17), []
    while len(found) < count:
        closure = draw(rng)
        found += [closure] if closure.kind is not ClosureKind.OPEN else []
    return found


@pytest.mark.parametrize("skin", [ASSUMED_SKIN, PLAIN], ids=["assumed", "neo-Hookean"])
@pytest.mark.parametrize("draw", RANDOM, ids=lambda draw: draw.__name__)
def test_random_constructions_of_every_family_close(draw, skin):
    for closure in closures(draw, 8):
        state = close_wound(mesh_closure(closure, seam_step_mm=7.0, sheet_mm=260.0), skin)
        assert state.status is Status.CONVERGED, state.reason
        assert suture_forces(state).total_n > 0


@pytest.mark.parametrize("draw", RANDOM, ids=lambda draw: draw.__name__)
def test_mirrored_wound_on_mirrored_skin_pulls_alike(draw):
    (closure,) = closures(draw, 1)
    sheet = mesh_closure(closure, seam_step_mm=7.0, sheet_mm=260.0)
    one = suture_forces(close_wound(sheet, TURNED))
    other = suture_forces(close_wound(mirrored(sheet), replace(TURNED, axis_deg=-25.0)))
    for a, b in zip(one.seams, other.seams, strict=True):
        assert b.line_n == pytest.approx(a.line_n, rel=1e-6)
    assert other.total_n == pytest.approx(one.total_n, rel=1e-6)


@pytest.mark.parametrize("draw", RANDOM, ids=lambda draw: draw.__name__)
def test_closed_skin_leaves_no_gap_but_what_its_steps_cut_off(draw):
    """On straight edges nothing is left; on arcs, what lies between a step and its arc."""
    (closure,) = closures(draw, 1)
    state = close_wound(mesh_closure(closure, seam_step_mm=5.0, sheet_mm=260.0), PLAIN)
    assert abs(areal_balance_mm2(state)) < 1e-6 * 260.0**2
