"""From the DICOM folder with clicks to plans, held against the phantom's truth."""

import subprocess
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, is_dataclass, replace
from datetime import date

import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from crena.app.case_files import read_case
from crena.app.demonstration import SEED, write_demonstration
from crena.app.planning_job import provenance_of
from crena.geometry.distances import cloud_gaps_mm
from crena.geometry.frames import skin_frame, to_skin_mm
from crena.geometry.supports import sphere_points
from crena.geometry.unrolling import height_mm, skin_map
from crena.imaging import PhantomRecipe, read_series, render
from crena.planning.compose import plan_case
from crena.records import Origin
from crena.sinus.mapping import map_from_scan
from crena.sinus.walls import sheet_triangles, wall_sheets

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("demonstration")
    write_demonstration(out, TODAY, lambda step, share: None)
    return out


@pytest.fixture(scope="module")
def found(folder):
    case, volume = read_case(folder / "case.json"), read_series(folder / "mri")
    return case, volume, map_from_scan(case, volume)


@pytest.fixture(scope="module")
def truth(found):
    """The phantom, carried into the skin frame that the clicks fixed."""
    phantom, clicks = render(PhantomRecipe(seed=SEED)), found[0].clicks
    frame = skin_frame(
        clicks.coccyx_tip_lps_mm,
        clicks.sacral_crest_lps_mm,
        clicks.anal_verge_lps_mm,
        clicks.midline_bone_lps_mm,
    )
    return {
        t.name: (to_skin_mm(frame, t.centre_lps_mm), t.outer_radius_mm) for t in phantom.tracts
    } | {
        "cavity": (
            to_skin_mm(frame, [phantom.cavity.centre_lps_mm])[0],
            to_skin_mm(frame, phantom.cavity.half_axes_lps_mm)
            - to_skin_mm(frame, np.zeros((1, 3))),
        )
    }


@pytest.fixture(scope="module")
def plans(found):
    case, volume, tract_map = found
    return plan_case(case, tract_map, provenance_of(case, volume), today=TODAY)


def tract(found, name):
    return next(t for t in found[2].tracts if t.name == name)


def test_every_slice_is_valid_dicom(folder):
    for file in sorted((folder / "mri").iterdir())[::13]:
        said = subprocess.run(["dciodvfy", str(file)], capture_output=True, text=True, check=False)
        assert "Error" not in said.stderr + said.stdout


@pytest.mark.parametrize("name", ["T1", "T2"])
def test_middle_line_lies_within_0_9_mm_of_the_truth(found, truth, name):
    distance, _ = cKDTree(truth[name][0]).query(np.array(tract(found, name).centre_mm))
    assert distance.mean() <= 0.9


@pytest.mark.parametrize("name", ["T1", "T2"])
def test_length_is_within_3_mm_of_what_the_clicks_allow(found, truth, name):
    line = truth[name][0]
    clicks = next(t for t in found[0].clicks.tracts if t.name == name)
    lost = np.linalg.norm(np.array(clicks.pit_lps_mm) - clicks.blind_end_lps_mm)
    straight = np.linalg.norm(line[-1] - line[0])
    true = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert tract(found, name).length_mm == pytest.approx(true + lost - straight, abs=3.0)


@pytest.mark.parametrize("name", ["T1", "T2"])
def test_depth_and_lateral_reach_are_within_1_5_mm(found, truth, name):
    line, skin = truth[name][0], skin_map(found[2].skin)
    depth = (height_mm(skin, line[:, :2]) - line[:, 2]).max()
    assert tract(found, name).depth_mm == pytest.approx(depth, abs=1.5)
    assert tract(found, name).lateral_reach_mm == pytest.approx(np.abs(line[:, 0]).max(), abs=1.5)


def test_long_tract_runs_to_the_patients_left_and_the_short_one_to_the_right(found):
    assert tract(found, "T1").centre_mm[-1][0] < -8 and tract(found, "T2").centre_mm[-1][0] > 4


def test_probing_and_scan_are_laid_side_by_side(found):
    apart = {d.tract: d for d in found[2].disagreements}
    assert set(apart) == {"T1", "T2"}
    assert all(0 < d.blind_end_mm < 8 for d in apart.values())


def test_the_lone_spot_is_shown_and_not_merged(found):
    assert any(4 < spot.gap_mm < 9 and spot.radius_mm < 4 for spot in found[2].spots)
    assert all(t.origin is Origin.SCAN for t in found[2].tracts if "probed" not in t.name)


def test_smallest_branch_that_the_series_could_show_is_stated(found):
    assert found[2].smallest_branch_mm >= 6.0


def test_clearance_is_never_optimistic_by_more_than_its_uncertainty(found, truth, plans):
    """The true tracts are sampled; the walls are those of each plan."""
    skin, floor = skin_map(found[2].skin), skin_map(found[2].floor)
    for plan in plans.plans:
        sheets = wall_sheets(plan.excision.outline, skin, floor)
        mix = np.linspace(0, 1, 60)[:, None, None]
        walls = cKDTree(
            np.concatenate([(s.top + mix * (s.bottom - s.top)).reshape(-1, 3) for s in sheets])
        )
        for name in ("T1", "T2"):
            line, radius = truth[name]
            true = (walls.query(line)[0] - radius).min()
            stated = next(c.least_mm for c in plan.excision.clearances if c.part == name)
            assert true >= stated - 2 * tract(found, name).sd_mm - 0.1
            deep = (line[:, 2] - radius - height_mm(floor, line[:, :2])).min()
            floor_mm = next(c.floor_mm for c in plan.excision.clearances if c.part == name)
            assert deep >= floor_mm - 2 * tract(found, name).sd_mm - 0.1


def test_cavity_is_where_it_is_and_its_clearance_is_not_optimistic(found, truth, plans):
    centre, axes = truth["cavity"]
    seen = found[2].cavities[0]
    assert np.linalg.norm(np.array(seen.centre_mm) - centre) <= 1.5
    surface = sphere_points(3) @ axes + centre
    for plan in plans.plans:
        sheets = wall_sheets(plan.excision.outline, skin_map(found[2].skin), floor_of(found))
        true = min(cloud_gaps_mm(surface, sheet_triangles(s))[:, 0].min() for s in sheets)
        stated = next(c.least_mm for c in plan.excision.clearances if c.part == seen.name)
        assert true >= stated - 2 * seen.sd_mm - 0.1


def floor_of(found):
    return skin_map(found[2].floor)


def test_three_plans_or_more_keep_all_limits(plans):
    assert len(plans.plans) >= 3
    assert all(c.kept for plan in plans.plans for c in plan.limits if c.hard)


def test_scan_and_case_name_the_plan_and_a_changed_figure_renames_it(found, plans):
    case, volume, _ = found
    assert plans.code == provenance_of(case, volume).code
    assert provenance_of(case, None).code != plans.code


def test_threads_give_the_same_map_as_one_step_after_another(found):
    case, volume, tract_map = found
    with ThreadPoolExecutor(3) as threads:
        assert map_from_scan(case, volume, executor=threads) == tract_map


def test_a_patient_who_lies_otherwise_in_the_scanner_has_the_same_map(found):
    """The whole scene is turned and shifted; nothing may hang on the image axes."""
    case, volume, tract_map = found
    turn = Rotation.from_euler("xyz", [6, -9, 11], degrees=True)

    def carried(point):
        x, y, z = turn.apply(np.asarray(point)) + [13.0, -20.0, 31.0]
        return float(x), float(y), float(z)

    affine = np.eye(4)
    affine[:3, :3] = turn.as_matrix()
    affine[:3, 3] = [13.0, -20.0, 31.0]
    other = map_from_scan(
        replace(case, clicks=_carried(case.clicks, carried)),
        replace(volume, affine=affine @ volume.affine),
    )
    for one, two in zip(tract_map.tracts, other.tracts, strict=True):
        apart, _ = cKDTree(np.array(one.centre_mm)).query(np.array(two.centre_mm))
        assert apart.mean() < one.sd_mm
        assert two.length_mm == pytest.approx(one.length_mm, abs=one.length_sd_mm)


def _carried(thing, carry):
    """Carry every point of the clicks; a point is a tuple of three floats."""
    if isinstance(thing, tuple) and len(thing) == 3 and isinstance(thing[0], float):
        return carry(thing)
    if isinstance(thing, tuple):
        return tuple(_carried(part, carry) for part in thing)
    if is_dataclass(thing):
        parts = {f.name: getattr(thing, f.name) for f in fields(thing)}
        return replace(thing, **{name: _carried(part, carry) for name, part in parts.items()})
    return thing
