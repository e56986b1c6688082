"""The mesh of closures: sound for every construction, equal on both edges of each seam."""

import numpy as np
import pytest
from sample_closures import RANDOM
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from crena.flaps import advancement, midline, rhombic, rotation, z_plasty
from crena.geometry import rhombi
from crena.geometry.lenses import Fusiform, Lens
from crena.geometry.measures import arc_length_mm, polygon_area_mm2
from crena.mechanics import mesh
from crena.mechanics._breaks import NEAR_BREAK_RATIO
from crena.mechanics._split import opened
from crena.mechanics._wedges import WEDGE_RATIO
from crena.mechanics.cuts import cuts_of
from crena.mechanics.mesh import angles_deg, areas_mm2, mesh_closure, mirrored, scaled
from crena.records import (
    Closure,
    ClosureKind,
    CrenaError,
    Flap,
    InputError,
    RigidMotion,
    Seam,
    Side,
)

SIDE_MM = 40.0
LENS = Lens(
    cranial_pole_mm=(20.0, 80.0),
    caudal_pole_mm=(22.0, 0.0),
    left_sagitta_mm=30.0,
    right_sagitta_mm=10.0,
)
SQUARE = ((0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0))


def limberg(donor_side=Side.RIGHT, turn_deg=0.0):
    quad = rhombi.corner_points(np.array([[3.0, 20.0, SIDE_MM * 3**0.5 / 4, 60.0, turn_deg, 0.0]]))
    flap = rhombic.RhombicFlap(
        donor_side=donor_side, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0
    )
    return rhombic.close(quad[0], flap)


def drawn(removed=(), incisions=(), seams=(), flaps=()):
    return Closure(
        kind=ClosureKind.OPEN, name="drawn", donor_side=None, points_mm={}, removed_mm=removed,
        incisions_mm=incisions, flaps=flaps, seams=seams, scar_mm=(), undermined_mm=(),
        parameters=(),
    )  # fmt: skip


def flap_on(outline):
    motion = RigidMotion(angle_deg=0.0, pivot_mm=(0.0, 0.0), shift_mm=(0.0, 10.0))
    return Flap(outline_mm=outline, pedicle_mm=outline[:2], motion=motion)


def sharpest_corner_deg(cuts):
    """The least angle of skin between two cuts that meet."""
    least = 180.0
    after = dict(zip(cuts.ring, np.roll(cuts.ring, -1), strict=True))
    both = np.concatenate([cuts.segments, cuts.segments[:, ::-1]])
    for node in np.flatnonzero(np.bincount(cuts.segments.ravel()) > 1):
        ends = both[both[:, 0] == node, 1]
        step = cuts.points_mm[ends] - cuts.points_mm[node]
        heading = np.degrees(np.arctan2(step[:, 1], step[:, 0]))
        order = np.argsort(heading)
        gaps = np.diff(heading[order], append=heading[order[0]] + 360)
        least = min([least, *gaps[ends[order] != after.get(node, -1)]])
    return least


def length_mm(sheet, seam):
    return np.linalg.norm(np.diff(sheet.nodes_mm[seam.moved], axis=0), axis=1).sum()


def fractions(points):
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    return along / along[-1]


def hole_area_mm2(closure, step_mm):
    cuts = cuts_of(closure, step_mm)
    return polygon_area_mm2(cuts.points_mm[cuts.ring]) if len(cuts.ring) else 0.0


@pytest.mark.parametrize("draw", RANDOM, ids=lambda draw: draw.__name__)
def test_random_constructions_of_every_family_give_sound_meshes(draw):
    """Both edges of a V-Y's limbs slide: there a node may lie half a step from its fraction."""
    rng = np.random.default_rng(11)
    for _ in range(45):
        closure, step_mm = draw(rng), rng.uniform(3, 7)
        sheet = mesh_closure(closure, seam_step_mm=step_mm)
        corner_deg = sharpest_corner_deg(cuts_of(closure, step_mm))
        assert angles_deg(sheet).min() >= min(20.0, 0.85 * corner_deg)
        skin_mm2 = 200.0**2 - hole_area_mm2(closure, step_mm)
        assert areas_mm2(sheet).sum() == pytest.approx(skin_mm2, rel=1e-9)
        for seam in sheet.seams:
            fixed, moved = (fractions(sheet.nodes_mm[e]) for e in (seam.fixed, seam.moved))
            slack_mm = NEAR_BREAK_RATIO * step_mm if closure.kind is ClosureKind.V_Y else 0.0
            assert np.abs(fixed - moved).max() <= 1e-3 + slack_mm / length_mm(sheet, seam)


def test_skin_of_a_limberg_flap_is_the_sheet_without_the_rhombus():
    sheet = mesh_closure(limberg(turn_deg=17.0), seam_step_mm=4.0, sheet_mm=210.0)
    rhombus_mm2 = SIDE_MM**2 * np.sin(np.radians(60))
    assert areas_mm2(sheet).sum() == pytest.approx(210.0**2 - rhombus_mm2, rel=1e-9)


def test_skin_round_a_lens_nears_the_closed_form_as_steps_shorten():
    closure = advancement.close(LENS, Side.RIGHT)
    exact_mm2 = 200.0**2 - LENS.area_mm2
    errors = [
        abs(areas_mm2(mesh_closure(closure, seam_step_mm=step_mm)).sum() - exact_mm2)
        for step_mm in (6.0, 2.0)
    ]
    assert errors[1] < errors[0] / 4 and errors[1] < 0.005 * LENS.area_mm2


def test_nodes_of_a_rhombic_seam_lie_on_the_edges_that_are_sutured():
    closure = limberg()
    sheet = mesh_closure(closure, seam_step_mm=3.0)
    for seam, nodes in zip(closure.seams, sheet.seams, strict=True):
        for (start, end), edge in ((seam.fixed_mm, nodes.fixed), (seam.moved_mm, nodes.moved)):
            t = np.linspace(0, 1, len(edge))[:, None]
            wanted = (1 - t) * np.array(start) + t * np.array(end)
            assert sheet.nodes_mm[edge] == pytest.approx(wanted, abs=1e-9)


def test_moved_nodes_belong_to_the_flap_and_all_others_do_not():
    sheet = mesh_closure(limberg(), seam_step_mm=3.0)
    in_flap = np.unique(sheet.triangles[sheet.flap == 1])
    outside = np.unique(sheet.triangles[sheet.flap == 0])
    for seam in sheet.seams:
        assert np.isin(seam.fixed, outside).all()
        assert np.isin(seam.moved, outside if seam.donor else in_flap).all()
        inner = seam.moved[1:-1] if seam.donor else seam.fixed[1:-1]
        assert not np.isin(inner, in_flap).any()


def test_flap_and_undermined_zone_have_the_areas_that_are_drawn():
    limberg_sheet = mesh_closure(limberg(), seam_step_mm=2.0)
    flap_mm2 = areas_mm2(limberg_sheet)[limberg_sheet.flap == 1].sum()
    assert flap_mm2 == pytest.approx(SIDE_MM**2 * np.sin(np.radians(60)), rel=0.03)
    strip = mesh_closure(advancement.close(LENS, Side.RIGHT), seam_step_mm=2.0)
    strip_mm2 = areas_mm2(strip)[strip.undermined].sum()
    assert strip_mm2 == pytest.approx(advancement.UNDERMINED_MM * 80.0, rel=0.05)
    assert strip.undermined[strip.flap > 0].all()


def test_unequal_edges_of_a_lens_share_their_number_of_steps():
    sheet = mesh_closure(advancement.close(LENS, Side.RIGHT), seam_step_mm=2.0)
    (seam,) = sheet.seams
    lateral, medial = (
        np.linalg.norm(np.diff(sheet.nodes_mm[e], axis=0), axis=1) for e in (seam.fixed, seam.moved)
    )
    arcs = [arc_length_mm(LENS.length_mm, h) for h in (30.0, 10.0)]
    assert medial.mean() / lateral.mean() == pytest.approx(arcs[0] / arcs[1], rel=2e-3)
    assert np.ptp(medial) < 0.01 and np.ptp(lateral) < 0.01
    assert (lateral.mean() + medial.mean()) / 2 == pytest.approx(2.0, rel=0.03)


def test_edges_of_a_midline_closure_meet_in_common_poles():
    fusiform = Fusiform(
        centre_s_mm=1.0, centre_y_mm=30.0, length_mm=70.0, aspect_ratio=3.0, tilt_deg=8.0
    )
    (seam,) = mesh_closure(midline.close(fusiform), seam_step_mm=4.0).seams
    assert (seam.fixed[[0, -1]] == seam.moved[[0, -1]]).all()
    assert not np.isin(seam.fixed[1:-1], seam.moved).any()


def test_seam_between_two_flaps_holds_a_copy_of_each():
    z = z_plasty.ZPlasty(
        first_side=Side.LEFT, centre_s_mm=3.0, centre_y_mm=9.0, limb_mm=30.0,
        first_angle_deg=50.0, second_angle_deg=65.0, tilt_deg=12.0,
    )  # fmt: skip
    closure = z_plasty.close(z)
    sheet = mesh_closure(closure, seam_step_mm=4.0)
    own = [set(np.unique(sheet.triangles[sheet.flap == number])) for number in range(3)]
    for seam, drawn in zip(sheet.seams, closure.seams, strict=True):
        assert set(seam.fixed) <= own[drawn.fixed_flap]
        assert set(seam.moved) <= own[drawn.moved_flap]


def test_cut_along_which_a_flap_slides_is_a_narrow_wedge():
    flap = rotation.RotationFlap(
        donor_side=Side.RIGHT, base_cranial=True, centre_s_mm=0.0, centre_y_mm=0.0,
        base_mm=20.0, height_mm=30.0, radius_mm=40.0, arc_deg=120.0,
    )  # fmt: skip
    closure = rotation.close(flap)
    defect_mm2 = abs(polygon_area_mm2(closure.removed_mm))
    for step_mm in (6.0, 3.0):
        wedge_mm2 = hole_area_mm2(closure, step_mm) - defect_mm2
        assert 0 < wedge_mm2 < 2 * WEDGE_RATIO * step_mm * 40 * np.radians(120)
    sheet = mesh_closure(closure, seam_step_mm=3.0)
    _, arc = sheet.seams
    assert len(np.intersect1d(arc.fixed, arc.moved)) == 1
    assert np.linalg.norm(sheet.nodes_mm[arc.moved[-1]] - closure.points_mm["D"]) < 1e-9


def test_a_plain_slit_opens_between_its_ends_only():
    sheet = mesh_closure(drawn(incisions=(((0.0, 3.0), (40.0, 9.0)),)), seam_step_mm=4.0)
    assert areas_mm2(sheet).sum() == pytest.approx(200.0**2, rel=1e-12)
    places, copies = np.unique(sheet.nodes_mm, axis=0, return_counts=True)
    twice = places[copies == 2]
    assert len(twice) == 9 and copies.max() == 2
    assert twice[:, 1] == pytest.approx(3 + 6 * twice[:, 0] / 40, abs=1e-9)
    assert twice[:, 0].min() > 3.9 and twice[:, 0].max() < 36.1


def test_crossing_at_a_shared_corner_opens_into_four():
    lines = (((-20.0, 0.0), (0.0, 0.0), (20.0, 2.0)), ((1.0, -20.0), (0.0, 0.0), (0.0, 20.0)))
    sheet = mesh_closure(drawn(incisions=lines), seam_step_mm=4.0)
    assert (np.abs(sheet.nodes_mm).max(axis=1) < 1e-9).sum() == 4


def test_an_island_is_free_and_its_edges_can_be_sutured_where_they_were():
    apex = (15.0, -35.0)
    incision = (SQUARE[0], apex, SQUARE[1])
    limb = (SQUARE[0], apex)
    seam = Seam(name="left limb", fixed_mm=limb, moved_mm=limb, moved_flap=1)
    flaps = (flap_on((SQUARE[0], apex, SQUARE[1])),)
    sheet = mesh_closure(drawn(SQUARE, (incision,), (seam,), flaps), seam_step_mm=4.0)
    first, second = sheet.triangles[:, [0, 1]].T
    third, size = sheet.triangles[:, 2], len(sheet.nodes_mm)
    rows, columns = np.concatenate([first, second]), np.concatenate([second, third])
    graph = coo_matrix((np.ones(len(rows)), (rows, columns)), shape=(size, size))
    assert connected_components(graph, directed=False)[0] == 2
    (nodes,) = sheet.seams
    assert (sheet.nodes_mm[nodes.fixed] == sheet.nodes_mm[nodes.moved]).all()
    assert not np.isin(nodes.fixed, nodes.moved).any()


def test_a_joint_on_one_edge_gives_the_other_edge_a_node_at_its_fraction():
    joint = ((0.0, 9.0), (-20.0, 4.0))
    seam = Seam(name="sides", fixed_mm=(SQUARE[0], SQUARE[3]), moved_mm=(SQUARE[1], SQUARE[2]))
    sheet = mesh_closure(drawn(SQUARE, (joint,), (seam,), (flap_on(SQUARE),)), seam_step_mm=4.0)
    (nodes,) = sheet.seams
    left, right = sheet.nodes_mm[nodes.fixed], sheet.nodes_mm[nodes.moved]
    assert left[:, 1] == pytest.approx(right[:, 1], abs=1e-9)
    at_joint = np.flatnonzero(np.abs(left[:, 1] - 9.0) < 1e-9)
    assert len(set(nodes.fixed[at_joint])) == 2 and len(set(nodes.moved[at_joint])) == 1


def test_the_same_closure_gives_the_same_bytes():
    for closure in (limberg(), advancement.close(LENS, Side.RIGHT)):
        one, two = (mesh_closure(closure, seam_step_mm=3.0) for _ in range(2))
        assert one.nodes_mm.tobytes() == two.nodes_mm.tobytes()
        assert one.triangles.tobytes() == two.triangles.tobytes()
        assert [s.moved.tobytes() for s in one.seams] == [s.moved.tobytes() for s in two.seams]


def test_a_mirrored_sheet_has_the_same_areas_and_upright_triangles():
    sheet = mesh_closure(limberg(turn_deg=25.0), seam_step_mm=4.0)
    other = mirrored(sheet)
    assert areas_mm2(other) == pytest.approx(areas_mm2(sheet), rel=1e-12)
    assert (other.nodes_mm[:, 0] == -sheet.nodes_mm[:, 0]).all()
    assert polygon_area_mm2(other.nodes_mm[other.border]) == pytest.approx(200.0**2)
    assert other.motions[0].angle_deg == -sheet.motions[0].angle_deg


def test_seams_of_a_mirrored_closure_are_the_mirrored_seams():
    quad = rhombi.corner_points(np.array([[3.0, 20.0, 17.0, 70.0, 12.0, 0.05]]))[0]
    measures = {"caudal_pivot": True, "elevation_deg": 20.0, "tip_deg": 50.0, "first_ratio": 0.9}
    right = rhombic.close(quad, rhombic.RhombicFlap(donor_side=Side.RIGHT, **measures))
    flipped = quad[[0, 3, 2, 1]] * [-1, 1]
    left = rhombic.close(flipped, rhombic.RhombicFlap(donor_side=Side.LEFT, **measures))
    one = mirrored(mesh_closure(right, seam_step_mm=3.0))
    two = mesh_closure(left, seam_step_mm=3.0)
    assert areas_mm2(one).sum() == pytest.approx(areas_mm2(two).sum(), rel=1e-9)
    for a, b in zip(one.seams, two.seams, strict=True):
        assert one.nodes_mm[a.fixed] == pytest.approx(two.nodes_mm[b.fixed], abs=1e-9)
        assert one.nodes_mm[a.moved] == pytest.approx(two.nodes_mm[b.moved], abs=1e-9)


def test_a_scaled_sheet_has_areas_by_the_square_and_moves_with_its_size():
    sheet = mesh_closure(advancement.close(LENS, Side.RIGHT), seam_step_mm=5.0)
    larger = scaled(sheet, 1.5)
    assert areas_mm2(larger) == pytest.approx(2.25 * areas_mm2(sheet), rel=1e-12)
    assert larger.motions[0].shift_mm == pytest.approx((60.0, 0.0))
    with pytest.raises(InputError, match="above 0"):
        scaled(sheet, 0.0)


def test_shorter_steps_refine_near_the_cuts_only():
    coarse, fine = (mesh_closure(limberg(), seam_step_mm=step) for step in (6.0, 2.0))
    assert areas_mm2(fine).max() == pytest.approx(areas_mm2(coarse).max(), rel=0.4)
    assert areas_mm2(fine).min() == pytest.approx(areas_mm2(coarse).min() / 9, rel=0.4)


SLIT = ((0.0, 0.0), (30.0, 0.0))
OFF_CUT = Seam(name="A–B", fixed_mm=((0.0, 0.0), (3.0, 3.0)), moved_mm=((30.0, 0.0), (30.0, 30.0)))
UNCLEAR = Seam(name="A–B", fixed_mm=SLIT, moved_mm=SLIT)
UNKNOWN = Seam(name="A–B", fixed_mm=SLIT, moved_mm=SLIT, moved_flap=2)


@pytest.mark.parametrize(
    ("closure", "says"),
    [
        (drawn(incisions=(SLIT, ((10.0, -9.0), (14.0, 9.0)))), "cross"),
        (drawn(incisions=(SLIT, ((20.0, 0.0), (50.0, 0.0)))), "lie on each other"),
        (drawn(SQUARE, (((15.0, 15.0), (18.0, 20.0)),)), "enters the skin that is removed"),
        (drawn(SQUARE, (((0.0, 0.0), (30.0, 30.0)),)), "enters the skin that is removed"),
        (drawn((*SQUARE, SQUARE[3])), "twice"),
        (drawn((*SQUARE, SQUARE[0])), "twice"),
        (drawn(((0.0, 0.0), (9.0, 0.0), (1.0, 9.0), (9.0, 5.0))), "cross"),
        (drawn(((0.0, 0.0), (9.0, 0.0), (4.0, 0.0))), "lie on each other|no skin"),
        (drawn(SQUARE, (((30.02, 15.0), (50.0, 15.0)),)), "0.020 mm from another"),
        (drawn(incisions=(((0.0, 0.0), (195.0, 0.0)),)), "too far for a sheet of 200 mm"),
        (drawn(incisions=(((0.0, np.nan), (30.0, 0.0)),)), "not a number"),
        (drawn(), "no cut"),
        (drawn(SQUARE, seams=(OFF_CUT,)), "leaves the cuts"),
        (drawn(incisions=(SLIT,), seams=(UNCLEAR,)), "not clear which skin"),
        (drawn(incisions=(SLIT,), seams=(UNKNOWN,)), "names flap 2 of 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_meshed_is_refused_in_a_sentence(closure, says):
    with pytest.raises(InputError, match=says) as refusal:
        mesh_closure(closure, seam_step_mm=4.0)
    assert str(refusal.value).endswith(".") and len(str(refusal.value)) < 180


@pytest.mark.parametrize(
    "measures",
    [
        {"seam_step_mm": 0.0}, {"seam_step_mm": -1.0}, {"seam_step_mm": float("nan")},
        {"seam_step_mm": 50.0}, {"seam_step_mm": 0.001}, {"seam_step_mm": 3.0, "sheet_mm": 0.0},
        {"seam_step_mm": 3.0, "sheet_mm": float("inf")},
        {"seam_step_mm": 3.0, "grading_ratio": 0.0}, {"seam_step_mm": 3.0, "field_ratio": 9.0},
    ],
)  # fmt: skip
def test_measures_out_of_range_are_refused_with_the_number(measures):
    with pytest.raises(InputError, match="Give"):
        mesh_closure(limberg(), **measures)


def move_a_cut_node(points, triangles):
    points = points.copy()
    points[1] += 1e-7
    return points, triangles


def drop_a_triangle(points, triangles):
    return points, triangles[1:]


def turn_a_triangle_over(points, triangles):
    return points, np.concatenate([triangles[:1, ::-1], triangles[1:]])


def double_a_triangle(points, triangles):
    return points, np.concatenate([triangles[:1], triangles])


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (move_a_cut_node, "a fixed node moved"),
        (drop_a_triangle, "area is wrong"),
        (turn_a_triangle_over, "turned over"),
        (double_a_triangle, "three triangles"),
    ],
)
def test_a_spoilt_mesh_is_caught(monkeypatch, spoil, says):
    settled = mesh.settled
    monkeypatch.setattr(mesh, "settled", lambda *given: spoil(*settled(*given)))
    with pytest.raises(CrenaError, match=says):
        mesh_closure(limberg(), seam_step_mm=5.0)


def test_a_flipped_cut_edge_is_caught(monkeypatch):
    settled = mesh.settled

    def without_a_cut(frame, seeds):
        points, triangles = settled(frame, seeds)
        a, b = frame.edges[len(frame.edges) - len(frame.fixed_mm) :][0]
        return points, triangles[~((triangles == a).any(axis=1) & (triangles == b).any(axis=1))]

    monkeypatch.setattr(mesh, "settled", without_a_cut)
    with pytest.raises(CrenaError, match="a cut is not an edge"):
        mesh_closure(limberg(), seam_step_mm=5.0)


def test_a_cut_that_stays_shut_is_caught(monkeypatch):
    monkeypatch.setattr(mesh, "opened", lambda p, t, cuts: opened(p, t, cuts[:-1]))
    with pytest.raises(CrenaError, match="not open"):
        mesh_closure(limberg(), seam_step_mm=5.0)
