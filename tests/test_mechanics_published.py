"""What the membrane reproduces of published pulls, and what it does not, source by source.

Only readings that settle with the mesh are compared: sums over lines, means over discs and
windows of interpolated traction. Only abstracts were read, so no test repeats a published
set-up; a published figure gives a band, and the bands round our own figures are ours. Where
a finding is not reproduced the name of the test says so. The skin is assumed throughout.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from sample_sheets import a_skin

from crena.flaps import midline, rhombic
from crena.geometry import rhombi
from crena.geometry.lenses import Fusiform
from crena.geometry.supports import circumscribed_points, hull_points
from crena.mechanics import readings
from crena.mechanics._kernels import point_response
from crena.mechanics._plane import areas_mm2, deformations, shape_gradients
from crena.mechanics.closed import converged_mm
from crena.mechanics.material import law_numbers
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.solver import close_wound
from crena.records import Side, line2

EVEN = a_skin(
    shear_kpa=30.0, fibre_kpa=0.0, tension_along_n_per_mm=0.0157, tension_across_n_per_mm=0.0157
)
"""Skin without a direction, 5 % stretched."""
FIBROUS = a_skin()
"""Tension lines along x, which is the short diagonal of the flaps here."""
SIZES_MM, RADII_MM = (30.0, 40.0, 60.0), (10.0, 20.0, 40.0)
PUBLISHED_DONOR_SHARE = 0.58
"""Mean share of the donor's closure in the tension of a flap (Larrabee et al., Arch
Otolaryngol 1981;107:755, piglets, abstract)."""
PUBLISHED_FALLS = (0.136, 0.296)
"""Fall of the closing force by undermining: Melis et al., Plast Reconstr Surg
2001;107:1201 (piglets) and Krishnan et al., PRS Global Open 2016;4:e799 (swine), abstracts."""
LEAST_FALL, MOST_FALL = 0.05, 0.40
"""Band round the published falls (ours)."""


def undermined(closure, radius_mm):
    """Free the fascia within a radius of the cuts; at 0 only what is raised is free."""
    if radius_mm == 0:
        return replace(closure, undermined_mm=())
    cuts = np.array([*closure.removed_mm, *(p for c in closure.incisions_mm for p in c)])
    discs = circumscribed_points(cuts, np.full(len(cuts), radius_mm), 24)
    return replace(closure, undermined_mm=line2(hull_points(discs)))


@cache
def flap(side_mm=40.0, radius_mm=20.0, acute=60.0, angles=(0.0, 60.0), skin=EVEN):
    """Close a rhombic flap; angles are elevation and tip."""
    half_width = side_mm * np.sin(np.radians(acute)) / 2
    quad = rhombi.corner_points(np.array([[0.0, 0.0, half_width, acute, 0.0, 0.0]]))[0]
    measures = rhombic.RhombicFlap(
        donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=angles[0], tip_deg=angles[1]
    )
    closure = undermined(rhombic.close(quad, measures), radius_mm)
    return close_wound(mesh_closure(closure, seam_step_mm=side_mm / 7, sheet_mm=6 * side_mm), skin)


@cache
def fusiform_n(tilt_deg, radius_mm, skin):
    """Return the force that closes a fusiform of 90 by 30 mm; at tilt 90 it lies along x."""
    drawn = Fusiform(
        centre_s_mm=0.0, centre_y_mm=0.0, length_mm=90.0, aspect_ratio=3.0, tilt_deg=tilt_deg
    )
    closure = undermined(midline.close(drawn), radius_mm)
    state = close_wound(mesh_closure(closure, seam_step_mm=6.0, sheet_mm=240.0), skin)
    return readings.suture_forces(state).total_n


def donor_share(side_mm, radius_mm):
    return readings.suture_forces(flap(side_mm, radius_mm)).donor_share_ratio


def donor_n(side_mm, radius_mm):
    """Return what the donor line and the corner at its end carry."""
    found = readings.suture_forces(flap(side_mm, radius_mm))
    return found.donor_share_ratio * found.total_n


def total_n(state):
    return readings.suture_forces(state).total_n


def fall(before, after):
    return 1 - after / before


def scar_points(state):
    """Return a point every 2 mm or so of the scar."""
    points = []
    for line in readings.scar_lines_mm(state).values():
        along = np.r_[0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))]
        at = np.linspace(0, along[-1], max(2, round(along[-1] / 2)))
        points.append(np.column_stack([np.interp(at, along, axis) for axis in line.T]))
    return np.concatenate(points)


def peak_strain(state):
    """Return the largest mean of the larger strain in any disc of 10 mm on the scar."""
    discs = [readings.disc_mean_stretch_ratio(state, at) for at in scar_points(state)]
    return max(discs) - 1


def peak_von_mises_kpa(state):
    """Return the largest mean of the von Mises stress in any disc of 10 mm on the scar."""
    after, sheet = converged_mm(state), state.sheet
    gradients, _ = shape_gradients(sheet.nodes_mm, sheet.triangles)
    stretched = deformations(after, sheet.triangles, gradients) @ state.prestretch
    stress, areas = von_mises_kpa(stretched, state.skin), areas_mm2(after, sheet.triangles)
    shares = (readings._share_inside(after[sheet.triangles], at, 10.0) for at in scar_points(state))
    return max(float((areas * s * stress).sum() / (areas * s).sum()) for s in shares)


def von_mises_kpa(stretched, skin):
    """Return the von Mises stress of an incompressible sheet: true stress is P F^T."""
    law = law_numbers(skin)
    first = np.array([point_response(f.ravel(), law, 0)[1].reshape(2, 2) for f in stretched])
    xx, xy, yy = (first @ np.swapaxes(stretched, 1, 2)).reshape(-1, 4)[:, [0, 1, 3]].T * 1e3
    return np.sqrt(xx**2 - xx * yy + yy**2 + 3 * xy**2)


def test_von_mises_of_a_pull_in_one_direction_is_that_pull_closed_form():
    skin, pulled = a_skin(shear_kpa=30.0, fibre_kpa=0.0), np.diag([1.3, 1.3**-0.5])
    assert von_mises_kpa(pulled[None], skin) == pytest.approx(30 * (1.3**2 - 1 / 1.3), rel=1e-12)


@pytest.mark.parametrize("radius_mm", RADII_MM)
@pytest.mark.parametrize("side_mm", SIZES_MM)
def test_donor_share_does_not_reproduce_58_percent_larrabee1981(side_mm, radius_mm):
    """Seen: 38 to 41 % of the sum of all suture forces, 36 to 39 % on finer meshes.

    Published mean: 58 %. How the published share was formed is not in the abstract.
    """
    share = donor_share(side_mm, radius_mm)
    assert share == pytest.approx(0.40, abs=0.035)
    assert share < PUBLISHED_DONOR_SHARE - 0.13


def test_donor_share_is_stable_over_size_and_undermining_larrabee1981():
    """Published: size and undermining do not change the share; asked: within 10 points."""
    shares = [donor_share(side, radius) for side in SIZES_MM for radius in RADII_MM]
    assert max(shares) - min(shares) <= 0.06


def test_donor_share_without_undermining_does_not_reproduce_its_independence_larrabee1981():
    """Seen: 43 to 50 %, growing with size, and above every share with undermining."""
    bare = [donor_share(side, 0.0) for side in SIZES_MM]
    assert bare == sorted(bare) and bare[-1] - bare[0] >= 0.03
    assert bare == pytest.approx([0.435, 0.457, 0.495], abs=0.03)
    assert bare[0] > max(donor_share(30.0, radius) for radius in RADII_MM) + 0.01


def test_donor_share_of_fibrous_skin_passes_58_percent_and_so_confirms_nothing_larrabee1981():
    """Seen: 30 to 69 %, as the tension lines lie; the direction alone decides."""
    turns = [a_skin(axis_deg=axis) for axis in (15.0, 60.0, 90.0)]
    shares = [readings.suture_forces(flap(skin=skin)).donor_share_ratio for skin in turns]
    assert shares == pytest.approx([0.30, 0.38, 0.69], abs=0.04)
    assert shares[1] < PUBLISHED_DONOR_SHARE - 0.1 < PUBLISHED_DONOR_SHARE + 0.05 < shares[2]


def with_its_ends_n(found, seam):
    """Return what a line and the corners it ends at carry; a corner can count twice."""
    return seam.line_n + sum(c.force_n for c in found.corners if seam.name in c.seams)


@pytest.mark.parametrize("radius_mm", RADII_MM)
@pytest.mark.parametrize("side_mm", SIZES_MM)
def test_donor_line_is_the_largest_single_line_larrabee1981(side_mm, radius_mm):
    """Each line with its ends, which moves by 1 % on finer meshes; the lead is 15 to 31 %."""
    found = readings.suture_forces(flap(side_mm, radius_mm))
    lines = {seam.name: with_its_ends_n(found, seam) for seam in found.seams}
    donor = lines.pop("donor, D–E")
    assert 1.1 <= donor / max(lines.values()) <= 1.4


@pytest.mark.parametrize("force_n", [donor_n, lambda *case: total_n(flap(*case))])
@pytest.mark.parametrize("side_mm", SIZES_MM)
def test_force_never_rises_with_undermining_melis2001_krishnan2016(side_mm, force_n):
    forces = np.array([force_n(side_mm, radius) for radius in (0.0, 10.0, 20.0, 40.0, 60.0)])
    assert (np.diff(forces) < 0).all()
    assert fall(forces[0], forces[2]) > 0.5 * fall(forces[0], forces[-1])


@pytest.mark.parametrize(("side_mm", "seen"), [(30.0, 0.30), (40.0, 0.375)])
def test_donor_force_falls_as_published_melis2001_krishnan2016(side_mm, seen):
    """Published: 13.6 and 29.6 %, of plain wounds; ours goes with the hold of the fascia."""
    found = fall(donor_n(side_mm, 0.0), donor_n(side_mm, 40.0))
    assert LEAST_FALL <= found <= MOST_FALL
    assert found == pytest.approx(seen, abs=0.04)


def test_donor_force_of_a_large_flap_does_not_reproduce_the_fall_melis2001_krishnan2016():
    """Seen: 46 % at a side of 60 mm freed for 40 mm, more than the 40 % of the band."""
    found = fall(donor_n(60.0, 0.0), donor_n(60.0, 40.0))
    assert found == pytest.approx(0.46, abs=0.04) and found > MOST_FALL


def test_fall_of_a_plain_wound_lies_within_the_published_melis2001_krishnan2016():
    """A fusiform freed for 20 mm: as in the sources, a wound drawn together without a flap."""
    found = fall(fusiform_n(0.0, 0.0, EVEN), fusiform_n(0.0, 20.0, EVEN))
    assert PUBLISHED_FALLS[0] <= found <= PUBLISHED_FALLS[1]


def test_fall_of_a_plain_wound_freed_widely_does_not_reproduce_melis2001_krishnan2016():
    """Seen: 42 % at 60 mm, above both; how far the sources freed is not in their abstracts."""
    found = fall(fusiform_n(0.0, 0.0, EVEN), fusiform_n(0.0, 60.0, EVEN))
    assert found == pytest.approx(0.42, abs=0.05) and found > PUBLISHED_FALLS[1]


@pytest.mark.parametrize(("elevation", "ratio"), [(0.0, 1.28), (15.0, 1.22)])
def test_peak_strain_is_least_at_a_tip_of_30_degrees_topp2014(elevation, ratio):
    """Topp et al., Otolaryngol Head Neck Surg 2014;151:952: least at 30 degrees."""
    narrow, middle, wide = (
        peak_strain(flap(angles=(elevation, tip))) for tip in (30.0, 45.0, 60.0)
    )
    assert 1.04 * narrow < middle < wide / 1.04
    assert wide / narrow == pytest.approx(ratio, abs=0.08)


def test_narrow_tip_lowers_the_peak_but_not_the_total_force():
    """Not in the source: the sum of all suture forces goes the other way."""
    narrow, wide = (total_n(flap(angles=(0.0, tip))) for tip in (30.0, 60.0))
    assert narrow / wide == pytest.approx(1.15, abs=0.05)


def with_the_area_of_a_side_of_40_mm(acute):
    return 40.0 * np.sqrt(np.sin(np.pi / 3) / np.sin(np.radians(acute)))


@pytest.mark.parametrize(
    ("angles", "ratio"),
    [((0.0, 60.0), 1.12), ((0.0, 45.0), 1.15), ((0.0, 30.0), 1.25), ((60.0, 60.0), 1.64)],
)
def test_square_defect_does_not_reproduce_the_least_peak_topp2014(angles, ratio):
    """Published: the peak is least for a square. Seen: it grows from 60 to 90 degrees.

    Equal area, the same flap angles, the mean in discs of 10 mm; it grows at other flap
    angles too. The source's set-up beyond its abstract is unknown.
    """
    side = with_the_area_of_a_side_of_40_mm(90.0)
    sharp, square = (
        peak_strain(flap(s, acute=acute, angles=angles))
        for s, acute in ((40.0, 60.0), (side, 90.0))
    )
    assert square > 1.05 * sharp
    assert square / sharp == pytest.approx(ratio, abs=0.07)


FAMILY = [(elevation, tip) for elevation in (0.0, 30.0, 60.0) for tip in (30.0, 45.0, 60.0)]


def test_best_of_the_family_lowers_the_peak_stress_rajabi2015():
    """Rajabi et al., J Biomech 2015 (from memory; abstract): von Mises 43 % lower.

    Asked: 20 to 60 %. Seen: 37 % in discs of 10 mm, 39 % on a finer mesh, and as in the
    source for the flap most like a Z-plasty. The largest value itself grows without bound
    on finer meshes.
    """
    peaks = {angles: peak_von_mises_kpa(flap(angles=angles)) for angles in FAMILY}
    best = min(peaks, key=peaks.get)
    assert best == (60.0, 60.0)
    assert fall(peaks[0.0, 60.0], peaks[best]) == pytest.approx(0.37, abs=0.06)


def test_lowest_peak_stress_costs_total_force():
    """Not in the source: what lowers the peak raises the sum of all suture forces."""
    limberg, best = (total_n(flap(angles=angles)) for angles in ((0.0, 60.0), (60.0, 60.0)))
    assert best / limberg == pytest.approx(1.16, abs=0.05)


ALONG, ACROSS = 90.0, 0.0


def test_wound_along_the_tension_lines_closes_with_less_mcguire1980():
    """McGuire, Plast Reconstr Surg 1980;66(3), pigs, abstract; author from memory."""
    across, along = (fusiform_n(tilt, 0.0, FIBROUS) for tilt in (ACROSS, ALONG))
    assert across / along == pytest.approx(2.7, abs=0.3)


def test_wound_along_the_tension_lines_gains_the_larger_share_mcguire1980():
    """Published: wounds along the lines benefit more from undermining."""
    across, along = (
        fall(fusiform_n(tilt, 0.0, FIBROUS), fusiform_n(tilt, 30.0, FIBROUS))
        for tilt in (ACROSS, ALONG)
    )
    assert along == pytest.approx(0.26, abs=0.04)
    assert across == pytest.approx(0.13, abs=0.04)


def test_wound_along_the_tension_lines_does_not_reproduce_a_larger_gain_in_newton_mcguire1980():
    """Which gain the source means is not in its abstract; in N ours is larger across."""
    across, along = (
        fusiform_n(tilt, 0.0, FIBROUS) - fusiform_n(tilt, 30.0, FIBROUS) for tilt in (ACROSS, ALONG)
    )
    assert across / along == pytest.approx(1.3, abs=0.2)


def test_skin_without_a_direction_does_not_mind_how_a_wound_lies():
    across, along = (fusiform_n(tilt, 0.0, EVEN) for tilt in (ACROSS, ALONG))
    assert across == pytest.approx(along, rel=0.02)


def stitches_n(state):
    """Return the force of every stitch, 8 mm apart."""
    seams = (seam.name for seam in state.sheet.seams)
    return np.concatenate([readings.window_forces_n(state, seam, 8.0) for seam in seams])


@pytest.mark.parametrize(("skin", "most_n"), [(EVEN, 0.57), (FIBROUS, 1.13)])
@pytest.mark.parametrize("side_mm", [20.0, 30.0])
def test_suture_force_is_of_the_published_order_preprint2024(side_mm, skin, most_n):
    """SSRN preprint 4817058 (2024), abstract: 0.7 to 1.0 N at most, well undermined.

    Our largest window still grows by 10 to 20 % on finer meshes: the order is compared only.
    """
    found = stitches_n(flap(side_mm, 30.0, skin=skin))
    assert 0.1 <= np.median(found) <= 3.0
    assert found.max() == pytest.approx(most_n, rel=0.15)


def test_suture_force_with_the_donor_along_the_lines_does_not_reproduce_preprint2024():
    """Seen: 5 N where the donor closes along the tension lines, five times the published."""
    worst = stitches_n(flap(20.0, 30.0, skin=a_skin(axis_deg=120.0)))
    assert worst.max() == pytest.approx(5.0, rel=0.15)


def test_suture_force_with_the_donor_along_the_lines_goes_with_the_cap_of_the_fibres():
    """A hidden parameter decides where fibres are strained most: no prediction in N."""
    skins = [a_skin(axis_deg=120.0, fibre_cap_ratio=cap) for cap in (0.2, 0.4, 0.6)]
    early, usual, late = (total_n(flap(20.0, 30.0, skin=skin)) for skin in skins)
    assert early / usual == pytest.approx(0.79, abs=0.05)
    assert late == pytest.approx(usual, rel=0.01)
