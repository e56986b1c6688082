"""How near a mesh comes to a finer one, and how fast, on closures and on smooth problems."""

from functools import cache

import numpy as np
import pytest
from sample_sheets import a_sheet, a_skin, grid, ring
from scipy.sparse import triu
from scipy.sparse.linalg import spsolve

from crena.flaps import advancement, rhombic
from crena.geometry import rhombi
from crena.geometry.lenses import Lens
from crena.mechanics._system import system_of
from crena.mechanics.material import energy_kpa
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.prepared import prepare
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_wound
from crena.mechanics.start import spread
from crena.records import Side

EVEN = a_skin(
    shear_kpa=30.0, fibre_kpa=0.0, tension_along_n_per_mm=0.0157, tension_across_n_per_mm=0.0157
)
"""Neo-Hookean skin, stretched by 5 % in all directions."""
TAUT = a_skin(shear_kpa=30.0, fibre_kpa=0.0)
"""The same with up to four times the tension, more of it along x."""
USUAL = {"seam_step_mm": 3.5, "grading_ratio": 0.1}
FINE = {"seam_step_mm": 1.7, "grading_ratio": 0.06}
FINEST = {"seam_step_mm": 0.9, "grading_ratio": 0.025}
NODES = {"usual": 1_500, "fine": 6_000, "finest": 25_000}
"""No mesh has more: the comparison is with one of at least three times the nodes."""


def drawn(acute, elevation, tip, side_mm=40.0):
    half_width = side_mm * np.sin(np.radians(acute)) / 2
    quad = rhombi.corner_points(np.array([[3.0, -2.0, half_width, acute, 8.0, 0.0]]))[0]
    flap = rhombic.RhombicFlap(
        donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=elevation, tip_deg=tip
    )
    return rhombic.close(quad, flap)


LENS = Lens(
    cranial_pole_mm=(20.0, 70.0), caudal_pole_mm=(22.0, 0.0),
    left_sagitta_mm=25.0, right_sagitta_mm=12.0,
)  # fmt: skip
CLOSURES = {
    "Limberg": drawn(60.0, 0.0, 60.0),
    "Dufourmentel": drawn(75.0, *rhombic.dufourmentel_angles_deg(75.0)),
    "30-degree tip": drawn(60.0, 15.0, 30.0),
    "advancement": advancement.close(LENS, Side.RIGHT),
}
WITH_DONOR = ["Limberg", "Dufourmentel", "30-degree tip"]


@cache
def figures(name, mesh, skin=EVEN):
    """Return nodes, energy, total force and the donor's force with its corner."""
    sheet = mesh_closure(CLOSURES[name], **{"usual": USUAL, "fine": FINE, "finest": FINEST}[mesh])
    state = close_wound(sheet, skin)
    found = suture_forces(state)
    donor_n = (found.donor_share_ratio or 0.0) * found.total_n
    return len(sheet.nodes_mm), state.energy_n_mm, found.total_n, donor_n


@pytest.mark.parametrize("name", CLOSURES)
def test_meshes_differ_by_three_times_in_nodes_and_more(name):
    usual, fine, finest = (figures(name, mesh)[0] for mesh in NODES)
    assert usual <= NODES["usual"] and fine <= NODES["fine"]
    assert fine >= 3 * usual and finest >= 3 * fine


@pytest.mark.parametrize("mesh", ["fine", "finest"])
@pytest.mark.parametrize("name", CLOSURES)
def test_energy_is_within_1_percent_of_a_finer_mesh_and_above_it(name, mesh):
    """A finer mesh can only give way more, but for its own cuts and border."""
    usual, finer = figures(name, "usual")[1], figures(name, mesh)[1]
    assert 0 < usual / finer - 1 <= 0.01


@pytest.mark.parametrize("name", CLOSURES)
def test_total_force_is_within_2_percent_of_a_fine_mesh(name):
    assert figures(name, "usual")[2] == pytest.approx(figures(name, "fine")[2], rel=0.02)


@pytest.mark.parametrize("name", ["Limberg", "Dufourmentel", "advancement"])
def test_total_force_of_three_families_is_within_2_percent_of_the_finest_mesh(name):
    assert figures(name, "usual")[2] == pytest.approx(figures(name, "finest")[2], rel=0.02)


@pytest.mark.parametrize(("name", "skin"), [("30-degree tip", EVEN), ("Limberg", TAUT)])
def test_total_force_of_a_sharp_tip_or_taut_skin_misses_the_2_percent_on_the_finest_mesh(
    name, skin
):
    """Sums of magnitudes settle slowly at corners: 2 to 3 % are left, always too little."""
    usual, fine, finest = (figures(name, mesh, skin)[2] for mesh in NODES)
    assert usual == pytest.approx(fine, rel=0.02)
    assert 0.02 < 1 - usual / finest < 0.03


@pytest.mark.parametrize("mesh", ["fine", "finest"])
@pytest.mark.parametrize("name", WITH_DONOR)
def test_donor_line_with_its_corner_is_within_3_percent_of_a_finer_mesh(name, mesh):
    assert figures(name, mesh)[3] > 1.0
    assert figures(name, "usual")[3] == pytest.approx(figures(name, mesh)[3], rel=0.03)


def bent_square(size):
    """Return a sheet of 60 by 40 mm whose rows and columns bend smoothly."""
    u = np.linspace(-1, 1, size + 1)
    (x, y), triangles = grid(u, u)[0].T, grid(u, u)[1]
    bent_x = 30 * (x + 0.08 * np.sin(np.pi * x) * np.cos(np.pi * y / 2))
    bent_y = 20 * (y + 0.07 * np.sin(np.pi * y) * np.cos(np.pi * x / 2))
    return a_sheet(np.column_stack([bent_x, bent_y]), triangles, ring(size + 1, size + 1))


def chosen_places(at):
    """Return where the places (..., 2) of a made-up smooth solution go, mm."""
    x, y = at[..., 0], at[..., 1]
    new_x = 1.2 * x + 0.05 * y + 2 * np.sin(x / 15) * np.cos(y / 12)
    new_y = 1.1 * y - 0.03 * x + 1.5 * np.cos(x / 14) * np.sin(y / 11 + 0.4)
    return np.stack([new_x, new_y], axis=-1)


def chosen_gradient(at):
    """Return the deformation gradient (..., 2, 2) of `chosen_places`, by a complex step."""
    steps = 1e-30j * np.eye(2)
    return np.stack([chosen_places(at + step).imag / 1e-30 for step in steps], axis=-1)


def stress_n_per_mm2(gradient, skin):
    """Return the first stress (..., 2, 2) from the energy alone, by a complex step."""
    steps = 1e-30j * np.eye(4).reshape(4, 2, 2)
    slopes = [energy_kpa(gradient + step, skin).imag / 1e-30 for step in steps]
    return 1e-3 * np.stack(slopes, axis=-1).reshape(gradient.shape)


def points_in(corners):
    """Return the middles of 16 equal parts of each triangle (m, 3, 2) as (m, 16, 2)."""
    up = [(i + 1 / 3, j + 1 / 3) for i in range(4) for j in range(4 - i)]
    down = [(i + 2 / 3, j + 2 / 3) for i in range(3) for j in range(3 - i)]
    a, b = np.array(up + down).T[:, None, :, None] / 4
    p, q, r = (corners[:, None, k] for k in range(3))
    return a * p + b * q + (1 - a - b) * r


def balanced_under(load, system, places):
    """Return the places where the sheet's own forces equal a load on its nodes (n, 2)."""
    pattern = system.prepared.pattern
    wanted = np.zeros(pattern.size + 2)
    for axis in range(2):
        np.add.at(wanted, pattern.node_dofs + axis, load[:, axis])
    for _ in range(8):
        system.fill(places)
        upper = pattern.matrix(system.stiffness)
        rest = (wanted - system.force)[: pattern.size]
        places = places + spread(spsolve((upper + triu(upper, 1).T).tocsc(), rest), pattern)
    assert np.abs(rest).max() <= 1e-9 * np.abs(wanted).max()
    return places


@cache
def errors(size, fibres):
    """Return the error in mean square of places and of gradients on one mesh."""
    skin = a_skin(foundation_n_per_mm3=0.0, axis_deg=25.0, fibre_kpa=200.0 * fibres)
    prepared = prepare(bent_square(size))
    stretch = in_plan(prestretch_ratio(skin), skin.axis_deg)
    system, sheet = system_of(prepared, skin, stretch), prepared.sheet
    at = points_in(sheet.nodes_mm[sheet.triangles])
    stress = stress_n_per_mm2(chosen_gradient(at) @ stretch, skin).mean(axis=1)
    _, gradients, volumes = system.body
    load = np.zeros_like(sheet.nodes_mm)
    np.add.at(load, sheet.triangles, volumes[:, None, None] * (gradients @ stress.swapaxes(1, 2)))
    found = balanced_under(load, system, chosen_places(sheet.nodes_mm))[sheet.triangles]
    off = ((points_in(found) - chosen_places(at)) ** 2).sum(axis=-1).mean(axis=1)
    slopes = (found.swapaxes(1, 2) @ prepared.gradients)[:, None] - chosen_gradient(at)
    bent = (slopes**2).sum(axis=(-2, -1)).mean(axis=1)
    return np.sqrt([prepared.areas_mm2 @ off, prepared.areas_mm2 @ bent])


@pytest.mark.parametrize("fibres", [0, 1])
def test_error_of_a_made_up_solution_falls_as_theory_says(fibres):
    """Straight-sided triangles: places by the square of the mesh size, gradients by the first.

    The load is the made-up solution's stress, from the energy by a complex step and not from
    the compiled sums, tested against each node's function (method of manufactured solutions).
    """
    coarse, middle, fine = (errors(size, fibres) for size in (16, 32, 64))
    for rougher, finer in ((coarse, middle), (middle, fine)):
        assert np.log2(rougher / finer) == pytest.approx([2.0, 1.0], abs=0.1)
    assert fine[0] / np.sqrt(60 * 40) < 2e-3


def test_energy_of_a_smoothly_pulled_sheet_falls_by_the_square_of_the_mesh_size():
    """The border follows a smooth map, the inside finds its balance."""
    skin, energies = a_skin(foundation_n_per_mm3=0.0, fibre_kpa=0.0), []
    for size in (8, 16, 32):
        sheet = bent_square(size)
        state = close_wound(sheet, skin, start=chosen_places(sheet.nodes_mm))
        energies.append(state.energy_n_mm)
    first, second = np.diff(energies)
    assert np.log2(first / second) == pytest.approx(2.0, abs=0.1)
