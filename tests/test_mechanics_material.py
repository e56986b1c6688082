"""The laws of skin against closed forms, complex steps and symmetries."""

import numpy as np
import pytest
from sample_sheets import a_skin

from crena.mechanics._kernels import point_response
from crena.mechanics.material import (
    check_skin,
    energy_kpa,
    fibre_kpa,
    fibre_strain_ratio,
    law_numbers,
    neo_hookean_kpa,
    relaxed_kpa,
)
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.records import InputError

STATES = {
    "taut": [[1.2, 0.1], [-0.05, 1.1]],
    "wrinkled": [[1.3, 0.2], [0.05, 0.6]],
    "slack": [[0.8, 0.1], [-0.05, 0.7]],
    "beyond the cap": [[1.6, 0.3], [0.1, 1.2]],
    "turned": [[-0.2, -1.3], [1.25, 0.1]],
}
SKIN = a_skin(axis_deg=25.0)
TINY = 1e-30


def response(f, skin, convex=0):
    return point_response(tuple(np.ravel(f).astype(float).tolist()), law_numbers(skin), convex)


def turn(angle_deg):
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return np.array([[c, -s], [s, c]])


@pytest.mark.parametrize("state", STATES)
def test_stress_is_the_complex_step_of_the_energy(state):
    f = np.array(STATES[state], dtype=complex)
    stress = []
    for k in range(4):
        step = np.zeros(4, dtype=complex)
        step[k] = 1j * TINY
        stress.append(energy_kpa(f + step.reshape(2, 2), SKIN).imag / TINY * 1e-3)
    w, p, _ = response(f.real, SKIN)
    assert w == pytest.approx(float(energy_kpa(f.real, SKIN)) * 1e-3, rel=1e-13)
    assert p == pytest.approx(stress, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("state", STATES)
def test_tangent_is_the_slope_of_the_stress(state):
    f, step = np.array(STATES[state]).ravel(), 1e-6
    tangent = response(f, SKIN)[2]
    for k in range(4):
        d = np.eye(4)[k] * step
        slope = (response(f + d, SKIN)[1] - response(f - d, SKIN)[1]) / (2 * step)
        assert np.abs(slope - tangent[:, k]).max() <= 1e-6 * np.abs(tangent).max()


@pytest.mark.parametrize("stretch", [1.05, 1.3, 1.8])
def test_uniaxial_stress_is_the_closed_form(stretch):
    skin = a_skin(fibre_kpa=0.0, shear_kpa=37.0)
    p = response(np.diag([stretch, stretch**-0.5]), skin)[1]
    assert p[0] == pytest.approx(0.037 * (stretch - stretch**-2), rel=1e-12)
    assert abs(p[3]) <= 1e-12 * p[0]


@pytest.mark.parametrize("stretch", [1.05, 1.3, 1.8])
def test_equibiaxial_stress_is_the_closed_form(stretch):
    p = response(np.diag([stretch, stretch]), a_skin(fibre_kpa=0.0, shear_kpa=37.0))[1]
    assert p[[0, 3]] == pytest.approx(0.037 * (stretch - stretch**-5), rel=1e-12)


@pytest.mark.parametrize("state", STATES)
def test_turning_skin_afterwards_turns_its_stress(state):
    f, q = np.array(STATES[state]), turn(73.0)
    w, p, _ = response(f, SKIN)
    w_turned, p_turned, _ = response(q @ f, SKIN)
    assert w_turned == pytest.approx(w, rel=1e-12)
    assert p_turned.reshape(2, 2) == pytest.approx(q @ p.reshape(2, 2), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("state", STATES)
def test_turning_the_axis_is_turning_the_plan(state):
    f, q = np.array(STATES[state]), turn(40.0)
    turned = energy_kpa(q @ f @ q.T, a_skin(axis_deg=25.0 + 40.0))
    assert turned == pytest.approx(energy_kpa(f, SKIN), rel=1e-12)


def test_mirrored_skin_has_the_same_energy():
    f, mirror = np.array(STATES["beyond the cap"]), np.diag([-1.0, 1.0])
    mirrored = energy_kpa(mirror @ f @ mirror, a_skin(axis_deg=180.0 - 25.0))
    assert mirrored == pytest.approx(energy_kpa(f, SKIN), rel=1e-12)


@pytest.mark.parametrize("state", STATES)
def test_convex_tangent_has_no_negative_eigenvalue(state):
    f = np.array(STATES[state])
    w, p, tangent = response(f, SKIN)
    w_convex, p_convex, convex = response(f, SKIN, 1)
    assert np.linalg.eigvalsh(convex).min() >= -1e-12 * np.abs(convex).max()
    assert w_convex == w and (p_convex == p).all()
    assert (convex == tangent).all() or np.linalg.det(f) < 1


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("slack", [0.02, 0.7, 1.0])
def test_convex_tangent_without_fibres_is_the_nearest_to_the_true_one(state, slack):
    """The nearest matrix without negative eigenvalues has them set to 0 (Higham 1988)."""
    skin = a_skin(fibre_kpa=0.0, slack_ratio=slack)
    values, vectors = np.linalg.eigh(response(STATES[state], skin)[2])
    nearest = vectors * np.maximum(values, 0.0) @ vectors.T
    assert response(STATES[state], skin, 1)[2] == pytest.approx(nearest, abs=1e-12)


def test_true_tangent_can_be_indefinite():
    assert np.linalg.eigvalsh(response(STATES["slack"], SKIN)[2]).min() < 0


def test_wrinkled_skin_does_not_feel_how_far_it_is_folded():
    a, b = (relaxed_kpa(np.diag([1.3, short]), 30.0) for short in (0.8, 0.3))
    assert a == b == pytest.approx(15.0 * (1.3**2 + 2 / 1.3 - 3), rel=1e-14)


def test_relaxed_energy_joins_the_full_one_smoothly():
    long, step = 1.3, 1e-7
    edge = long**-0.5
    full = [float(neo_hookean_kpa(np.diag([long, edge + s]), 30.0)) for s in (0, step)]
    assert relaxed_kpa(np.diag([long, edge - step]), 30.0) == pytest.approx(full[0], rel=1e-13)
    assert abs(full[1] - full[0]) < 1e-11


def test_fibres_pull_as_soon_as_they_are_strained_without_a_jump():
    sideways = np.diag([1.0, 1.15])
    assert fibre_strain_ratio(sideways, 0.0, 0.2) > 0
    strain = np.array([-1e-9, 0.0, 1e-9])
    assert fibre_kpa(strain, SKIN) == pytest.approx([0, 0, 0], abs=1e-15)


def test_fibre_law_keeps_value_slope_and_curvature_at_its_cap():
    cap, step = SKIN.fibre_cap_ratio, 1e-4
    w = fibre_kpa(cap + step * np.arange(-3, 4), SKIN)
    below = (2 * w[3] - 5 * w[2] + 4 * w[1] - w[0]) / step**2
    above = (w[3] - 2 * w[4] + w[5]) / step**2
    assert above == pytest.approx(below, rel=2e-3)
    exponential = 0.5 * 200.0 / 20.0 * (np.exp(20.0 * cap**2) - 1)
    assert w[3] == pytest.approx(exponential, rel=1e-13)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("shear_kpa", float("nan")),
        ("shear_kpa", 0.0),
        ("dispersion_ratio", 0.34),
        ("slack_ratio", -0.1),
        ("thickness_mm", float("inf")),
        ("tension_along_n_per_mm", -0.01),
    ],
)
def test_impossible_skin_is_refused_by_name(field, value):
    with pytest.raises(InputError, match=field):
        check_skin(a_skin(**{field: value}))


def test_prestretch_of_an_equal_tension_is_the_closed_form():
    stretch = 1.05
    tension = 0.030 * 2.5 * (stretch - stretch**-5) / stretch
    skin = a_skin(
        shear_kpa=30.0, fibre_kpa=0.0, tension_along_n_per_mm=tension,
        tension_across_n_per_mm=tension,
    )  # fmt: skip
    assert prestretch_ratio(skin) == pytest.approx([stretch, stretch], rel=1e-12)


def test_prestretched_skin_carries_the_stated_tension():
    along, across = prestretch_ratio(SKIN)
    stress = in_plan(np.array([along, across]), 25.0)
    p = response(stress, SKIN)[1].reshape(2, 2)
    own = turn(-25.0) @ p @ turn(25.0)
    carried = 2.5 * np.array([own[0, 0] / across, own[1, 1] / along])
    assert carried == pytest.approx([0.06, 0.03], rel=1e-10)
    assert along > across > 1


def test_tension_beyond_any_stretch_is_refused_with_the_number():
    weak = a_skin(fibre_kpa=0.0, tension_along_n_per_mm=50.0)
    with pytest.raises(InputError, match="50"):
        prestretch_ratio(weak)
