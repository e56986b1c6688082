"""The error of the mesh as two meshes tell it, against a mesh four times as fine."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from sample_sheets import a_skin

from crena.flaps import advancement, rhombic
from crena.geometry import rhombi
from crena.geometry.lenses import Lens
from crena.mechanics.closed import Status
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM
from crena.mechanics.readings import suture_forces
from crena.mechanics.refinement import (
    ERROR_OVER_DIFFERENCE,
    FINER,
    GRADING_RATIO,
    READINGS,
    refinement_of,
)
from crena.mechanics.solver import close_wound
from crena.records import Side

SKIN = a_skin()
LENS = Lens(
    cranial_pole_mm=(15.0, 40.0), caudal_pole_mm=(18.0, -35.0),
    left_sagitta_mm=22.0, right_sagitta_mm=14.0,
)  # fmt: skip


def drawn(elevation, tip):
    quad = rhombi.corner_points(np.array([[0.0, 0.0, 20.0, 60.0, 0.0, 0.0]]))[0] + [3, 2]
    flap = rhombic.RhombicFlap(
        donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=elevation, tip_deg=tip
    )
    return rhombic.close(quad, flap)


CLOSURES = {
    "Limberg": drawn(0.0, 60.0),
    "elevated, 45-degree tip": drawn(15.0, 45.0),
    "advancement": advancement.close(LENS, Side.RIGHT),
}


@cache
def finest(name):
    """Return the balance on a mesh of some 20,000 nodes."""
    sheet = mesh_closure(
        CLOSURES[name], seam_step_mm=SEAM_STEP_MM / FINER**3, sheet_mm=SHEET_MM,
        grading_ratio=GRADING_RATIO / FINER**3,
    )  # fmt: skip
    return close_wound(sheet, SKIN)


@cache
def estimated(name):
    return {each.name: each for each in refinement_of(CLOSURES[name], SKIN).readings}


def true_over_estimated(closure, reading):
    of = next(how for name, _, how in READINGS if name == reading)
    found = estimated(closure)[reading]
    return abs(found.value - of(finest(closure))) / found.error_value


@pytest.mark.parametrize("name", CLOSURES)
def test_reference_is_much_finer_than_both_meshes(name):
    found, nodes = refinement_of(CLOSURES[name], SKIN), len(finest(name).sheet.nodes_mm)
    assert nodes >= 5 * found.finer_nodes and found.finer_nodes >= 2 * found.nodes


@pytest.mark.parametrize("name", CLOSURES)
def test_estimate_brackets_the_error_of_total_force_within_a_factor_of_2(name):
    assert 1 / 2 <= true_over_estimated(name, "total force") <= 2


@pytest.mark.parametrize("name", CLOSURES)
def test_estimate_brackets_the_error_of_energy_within_a_factor_of_2(name):
    """Always the smaller half: energy converges faster than with the step."""
    assert 1 / 2 <= true_over_estimated(name, "energy") <= 1


@pytest.mark.parametrize("name", ["Limberg", "elevated, 45-degree tip"])
def test_estimate_brackets_the_error_of_the_donor_share_within_a_factor_of_3(name):
    assert 1 / 3 <= true_over_estimated(name, "donor share") <= 3


def test_scar_that_crosses_has_no_error_and_one_beside_the_midline_a_small_one():
    crossing = estimated("Limberg")["scar to the sagittal reference"]
    assert (crossing.value, crossing.error_value, crossing.error_ratio) == (0.0, 0.0, None)
    beside = estimated("advancement")["scar to the sagittal reference"]
    assert beside.error_value < 0.5 and beside.error_ratio < 0.04
    assert true_over_estimated("advancement", "scar to the sagittal reference") <= 2


def test_error_that_goes_with_the_step_is_found_exactly():
    """e = c h on both meshes: the factor is 1.6 / 0.6."""
    step, slope, limit = 5.0, 0.3, 10.0
    usual, finer = limit + slope * step, limit + slope * step / FINER
    assert ERROR_OVER_DIFFERENCE * (usual - finer) == pytest.approx(slope * step, rel=1e-12)


def test_readings_on_the_usual_mesh_are_those_of_the_usual_mesh():
    sheet = mesh_closure(CLOSURES["Limberg"], seam_step_mm=SEAM_STEP_MM, sheet_mm=SHEET_MM)
    plain = suture_forces(close_wound(sheet, SKIN))
    found = estimated("Limberg")
    assert found["total force"].value == plain.total_n
    assert found["donor share"].value == plain.donor_share_ratio
    assert [r.unit for r in found.values()] == ["N", "", "N mm", "mm"]


def test_wound_without_a_donor_has_no_donor_share():
    assert "donor share" not in estimated("advancement")


def test_run_that_fails_gives_its_reason_and_no_reading():
    found = refinement_of(CLOSURES["Limberg"], replace(SKIN, thickness_mm=-1.0))
    assert found.status is Status.NO_PRESTRETCH and found.readings == ()
    assert "above 0" in found.reason
