"""Published and closed-form values of the flap constructions, each with its source."""

import numpy as np
import pytest

from crena.flaps import rhombic, rotation, v_y, z_plasty
from crena.flaps.scars import measure_scar, scar_warnings
from crena.geometry import motions, rhombi
from crena.geometry.lines import least_midline_mm
from crena.geometry.measures import polygon_area_mm2
from crena.records import ClosureKind, Side


def quad(side=50.0, acute=60.0, tilt=0.0, shift=0.0):
    rho = side * np.sin(np.radians(acute)) / 2
    return rhombi.corner_points(np.array([[0.0, 0.0, rho, acute, tilt, shift]]))[0]


def flap(elevation=0.0, tip=60.0, side=Side.RIGHT, caudal=True):
    return rhombic.RhombicFlap(
        donor_side=side, caudal_pivot=caudal, elevation_deg=elevation, tip_deg=tip
    )


def corners(closure):
    return {name: np.array(at) for name, at in closure.points_mm.items()}


LIMBERG = rhombic.close(quad(), flap())


def test_limberg_corners_closed_form():
    at = corners(LIMBERG)
    assert at["E"] == pytest.approx([75, 0], abs=1e-6)
    assert at["F"] == pytest.approx([50, -43.3012702], abs=1e-6)


def test_limberg_turns_60_degrees_about_c_exactly():
    at = corners(LIMBERG)
    motion = LIMBERG.flaps[0].motion
    assert motion.angle_deg == pytest.approx(60, abs=1e-9)
    landed = motions.moved(motion, [at["D"], at["E"], at["F"], at["C"]])
    assert np.allclose(landed, [at["B"], at["A"], at["D"], at["C"]], atol=1e-9)


def test_limberg_areas_scar_and_donor_chord_closed_form():
    shape = rhombic.shape_of(LIMBERG)
    assert shape.defect_area_mm2 == pytest.approx(2165.0635, abs=1e-3)
    assert shape.flap_area_mm2 == pytest.approx(shape.defect_area_mm2, rel=1e-9)
    scar = np.linalg.norm(np.diff(LIMBERG.scar_mm[0], axis=0), axis=1).sum()
    assert (scar, shape.donor_closure_mm) == pytest.approx((200, 50))
    assert shape.base_to_length_ratio == pytest.approx(1)


def test_limberg_donor_triangle_closed_form():
    at = corners(LIMBERG)
    area = abs(polygon_area_mm2([at["D"], at["E"], at["F"]]))
    assert area == pytest.approx(50**2 * np.sqrt(3) / 4, abs=1e-6)


def test_unmodified_limberg_meets_the_midline_twice_and_says_so():
    assert least_midline_mm(LIMBERG.scar_mm) == 0
    assert any("midline 2 times" in w for w in LIMBERG.warnings)


@pytest.mark.parametrize(
    ("off", "words"), [(0.0, "went with recurrence"), (15.0, "20 mm are advised"), (20.0, None)]
)
def test_lower_end_is_warned_of_kaplan2017(off, words):
    """Up to 11 mm: recurrence; at least 20 mm: advised."""
    tilted = quad(tilt=np.degrees(np.arcsin(off / (50 * np.sqrt(3)))))
    drawn = rhombic.close(tilted - tilted[0] + [0, 43.30], flap())
    scar = measure_scar(drawn, (0.0, -90.0), 1.0)
    assert scar.lower_end_midline_mm == pytest.approx(off, abs=0.05)
    warnings = scar_warnings(scar)
    assert warnings == () if words is None else words in warnings[0]


@pytest.mark.parametrize(
    ("side", "off", "tilt"),
    [(40, 15, 12.5), (50, 15, 9.974), (60, 15, 8.30), (50, 20, 13.35), (60, 20, 11.1)],
)
def test_tilt_that_moves_the_lower_corner_closed_form(side, off, tilt):
    angle = np.degrees(np.arcsin(off / (side * np.sqrt(3))))
    assert angle == pytest.approx(tilt, abs=0.05)
    tilted = quad(side, tilt=angle)
    assert tilted[0, 0] - tilted[2, 0] == pytest.approx(off, abs=1e-9)


def test_tilted_limberg_corners_closed_form():
    angle = np.degrees(np.arcsin(15 / (50 * np.sqrt(3))))
    tilted = quad(tilt=angle)
    at = corners(rhombic.close(tilted - tilted[0] + [0, 43.30], flap()))
    expected = {
        "B": (-32.12, 4.98), "C": (-15.0, -41.99), "D": (17.12, -3.68),
        "E": (66.37, -12.34), "F": (34.24, -50.65),
    }  # fmt: skip
    for name, place in expected.items():
        assert at[name] == pytest.approx(place, abs=0.02)


@pytest.mark.parametrize(
    ("off", "bc", "cd"), [(10, 45.83, 55.68), (15, 44.44, 58.95), (20, 43.59, 62.45)]
)
def test_moved_lower_corner_leaves_unequal_edges_closed_form(off, bc, cd):
    moved = rhombic.close(quad(shift=-off / (50 * np.sqrt(3))), flap())
    at = corners(moved)
    assert np.linalg.norm(at["B"] - at["C"]) == pytest.approx(bc, abs=0.02)
    assert np.linalg.norm(at["C"] - at["D"]) == pytest.approx(cd, abs=0.02)
    assert rhombic.shape_of(moved).edge_mismatch_mm == pytest.approx(cd - bc, abs=0.02)


@pytest.mark.parametrize(
    ("acute", "base", "chord", "e", "tip", "ratio"),
    [
        (60, 70.71, 50.0, (68.30, 25.0), 60.0, 1.077),
        (75, 76.20, 52.81, (75.28, 22.11), 63.75, 1.008),
        (90, 81.67, 55.56, (81.55, 19.13), 67.5, 1.007),
    ],
)
def test_dufourmentel_lister_gibson1972_rule(acute, base, chord, e, tip, ratio):
    """Angles from memory of the rule; figures follow by geometry."""
    elevation, tip_deg = rhombic.dufourmentel_angles_deg(acute)
    drawn = rhombic.close(quad(acute=acute), flap(elevation, tip_deg))
    shape, at = rhombic.shape_of(drawn), corners(drawn)
    assert drawn.kind is ClosureKind.DUFOURMENTEL
    assert tip_deg == tip
    assert at["E"] == pytest.approx(e, abs=0.01)
    assert shape.donor_closure_mm == pytest.approx(chord, abs=0.01)
    assert np.linalg.norm(at["F"] - at["C"]) == pytest.approx(base, abs=0.01)
    assert shape.flap_area_mm2 / shape.defect_area_mm2 == pytest.approx(ratio, abs=0.001)


def test_30_degree_tip_donor_chord_closed_form():
    drawn = rhombic.close(quad(), flap(15.0, 30.0))
    assert drawn.kind is ClosureKind.RHOMBIC_30
    assert rhombic.shape_of(drawn).donor_closure_mm == pytest.approx(25.88, abs=0.01)


@pytest.mark.parametrize(
    ("angle", "ratio", "textbook"),
    [(30, 1.2393, 25), (45, 1.4736, 50), (60, 1.7321, 75), (75, 1.9912, 100), (90, 2.2361, 120)],
)
def test_z_plasty_gain_dermatol_res_pract2010_figure_2(angle, ratio, textbook):
    """Published: 25, 50 and 75 %; 100 and 120 % from memory; all within 5 points."""
    gain = z_plasty.length_gain_ratio(angle)
    assert gain == pytest.approx(ratio, abs=1e-4)
    assert 100 * (gain - 1) == pytest.approx(textbook, abs=5)


def test_z_plasty_turn_ellur2009():
    assert z_plasty.central_turn_deg(60) == pytest.approx(90.0, abs=1e-9)


@pytest.mark.parametrize(
    ("angle", "ratio", "turn"),
    [(30, 1.2393, 53.8), (45, 1.4736, 73.7), (60, 1.7321, 90.0), (75, 1.9912, 104.0),
     (90, 2.2361, 116.6)],
)  # fmt: skip
def test_drawn_z_gains_and_turns_as_the_closed_form(angle, ratio, turn):
    drawn = z_plasty.ZPlasty(
        first_side=Side.RIGHT, centre_s_mm=4.0, centre_y_mm=20.0, limb_mm=30.0,
        first_angle_deg=angle, second_angle_deg=angle, tilt_deg=15.0,
    )  # fmt: skip
    closure = z_plasty.close(drawn)
    at, (a, c, d, b) = corners(closure), np.array(closure.scar_mm[0])
    assert np.linalg.norm(b - a) / 30.0 == pytest.approx(ratio, abs=1e-4)
    old, new = at["B"] - at["A"], c - d
    found = np.degrees(np.arccos(old @ new / np.linalg.norm(old) / np.linalg.norm(new)))
    assert found == pytest.approx(turn, abs=0.05)


@pytest.mark.parametrize(("ratio", "apex"), [(2.0, 28.1), (2.5, 22.6)])
def test_v_y_apex_stem_and_limbs_closed_form(ratio, apex):
    """Stem g, limbs sqrt(h^2 + w^2/4); the V is 2 g tan(a/2) wide where the island's tip lands."""
    drawn = v_y.IslandFlap(
        donor_side=Side.LEFT, centre_s_mm=-3.0, centre_y_mm=20.0, width_mm=40.0, gap_mm=25.0,
        height_ratio=ratio, tilt_deg=20.0,
    )  # fmt: skip
    closure = v_y.close(drawn)
    at, (v, stem) = corners(closure), closure.scar_mm
    u, w = at["C"] - at["E"], at["D"] - at["E"]
    half = np.arccos(u @ w / np.linalg.norm(u) / np.linalg.norm(w)) / 2
    assert np.degrees(2 * half) == pytest.approx(apex, abs=0.05)
    assert np.linalg.norm(np.subtract(*stem)) == pytest.approx(25.0)
    limb = np.hypot(40.0 * ratio, 20.0)
    assert np.linalg.norm(np.subtract(v[0], v[1])) == pytest.approx(limb)
    assert v_y.shape_of(closure).donor_closure_mm == pytest.approx(50.0 * np.sin(half))


def test_rotation_flap_of_a_quarter_circle_by_the_rule_of_four_bases():
    """R = 8 b / pi: 101.9 mm for a base of 40 mm; the rule is from memory."""
    radius = rotation.radius_by_rule_mm(40.0, 90.0)
    assert radius == pytest.approx(8 * 40.0 / np.pi) == pytest.approx(101.9, abs=0.05)
    drawn = rotation.RotationFlap(
        donor_side=Side.RIGHT, base_cranial=True, centre_s_mm=0.0, centre_y_mm=0.0,
        base_mm=40.0, height_mm=50.0, radius_mm=radius, arc_deg=90.0,
    )  # fmt: skip
    (arc,) = rotation.close(drawn).incisions_mm
    assert np.linalg.norm(np.diff(arc, axis=0), axis=1).sum() == pytest.approx(160.0, rel=1e-4)
