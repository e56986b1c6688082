"""Guards against hazards that no other test shows by itself."""

import re
from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored, tract_map

from crena.app.planning_job import provenance_of
from crena.draw import inks, template_svg
from crena.flaps import rhombic
from crena.flaps.scars import measure_scar
from crena.geometry import rhombi
from crena.geometry.unrolling import skin_map
from crena.planning.candidates import measured
from crena.planning.compose import plan_case, search
from crena.planning.refusals import all_kept
from crena.records import (
    Allergies,
    Answer,
    BodyEntry,
    InputError,
    Limits,
    NoPlanError,
    ScanClicks,
    Side,
    TractClicks,
    Volume,
)
from crena.sinus import mapping
from crena.sinus.clearance import wall_gaps
from crena.sinus.excise import field_of
from crena.sinus.mapping import map_from_probing
from crena.sinus.parts import Part
from crena.sinus.probing import entered_skin
from crena.sinus.walls import wall_sheets

FLAP = rhombic.RhombicFlap(donor_side=Side.LEFT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0)


def planned(plain):
    return plan_case(plain, tract_map(), PROVENANCE, today=TODAY)


def test_a_changed_figure_gives_another_code():
    other = case(limits=Limits(drawn_margin_mm=7.5))
    assert provenance_of(case(), None).code != provenance_of(other, None).code


def test_the_thinnest_branch_that_a_series_can_show_is_stated():
    class Series:
        affine = np.diag([0.6, 0.6, 3.0, 1.0])
        slice_thickness_mm = 3.0

    assert mapping.smallest_branch_mm(Series()) >= 2 * 3.0


def test_no_plan_is_called_the_best():
    assert "no clear best" in planned(case()).order


def test_clearance_of_a_deep_part_is_measured_against_the_wall_at_its_depth():
    """A ball 20 mm deep and 9 mm from a straight wall: 7 mm for a radius of 2, closed form."""
    flat = entered_skin(BodyEntry(cleft_depth_mm=0.0))
    floor = replace(flat, z_mm=tuple(tuple(z - 30 for z in row) for row in flat.z_mm))
    quad = rhombi.corner_points(np.array([[0.0, 0.0, 30.0, 60.0, 0.0, 0.0]]))[0]
    outline = rhombic.outline_of(rhombic.close(quad, FLAP), 0.0)
    sheets = wall_sheets(outline, skin_map(flat), skin_map(floor))
    inward = -21.0 * np.array([np.cos(np.pi / 6), np.sin(np.pi / 6)])
    ball = Part(
        name="T1",
        points=np.array([[*inward, -20.0]]),
        radii=np.array([2.0]),
        chain=True,
        sd_mm=1.0,
    )
    least = min(g.gaps[0] for g in wall_gaps((ball,), sheets))
    assert least == pytest.approx(30 - 21 - 2, abs=0.02)


def test_a_side_that_probe_and_scan_dispute_stops_the_plan():
    one, other = tract_map(), map_from_probing(mirrored(case()))
    with pytest.raises(InputError, match="was probed to the patient's right, but the scan"):
        mapping._laid_together(one.tracts[:1], other.tracts[:1])


def test_clicks_on_another_series_stop_the_plan():
    point = (0.0, 0.0, 0.0)
    clicks = ScanClicks(
        series_uid="1.2.3",
        coccyx_tip_lps_mm=point,
        sacral_crest_lps_mm=point,
        anal_verge_lps_mm=point,
        tracts=(TractClicks(name="T1", pit_lps_mm=point, blind_end_lps_mm=point),),
    )
    volume = Volume(
        voxels=np.zeros((8, 8, 8), np.float32),
        affine=np.eye(4),
        slice_thickness_mm=3.0,
        frame_of_reference_uid="",
        series_uid="1.2.4",
        prone=True,
    )
    with pytest.raises(InputError, match="another series"):
        mapping.map_from_scan(case(clicks=clicks), volume)


def test_flap_cuts_are_dashed_and_cuts_are_not_so_that_grey_tells_them_apart():
    drawn = template_svg(planned(case())).decode()
    pen = [line for line in re.findall(r"<path[^>]*>", drawn) if inks.PEN in line]
    wide = [line for line in pen if f'stroke-width="{inks.CUT.width_mm:g}"' in line]
    dashed = [line for line in wide if "stroke-dasharray" in line]
    assert 0 < len(dashed) < len(wide)


def test_a_cut_near_the_anal_verge_is_never_a_plan():
    with pytest.raises(NoPlanError):
        planned(case(limits=replace(case().limits, anal_verge_mm=70.0)))
    plans = planned(case()).plans
    reached = [c.reached for p in plans for c in p.limits if "anal verge" in c.limit]
    assert all(25 - 1e-6 <= r < 90 for r in reached)


def test_a_narrow_pedicle_is_never_kept():
    limits = replace(case().limits, base_to_length_ratio=0.95)
    for family in search(field_of(tract_map(), case().precision), limits, (0.0, -42.0)):
        kept = all_kept(family, limits)
        assert (measured(family, "base_to_length_ratio")[kept] >= 0.95 - 1e-6).all()


def test_a_scar_that_ends_on_the_midline_is_measured_as_such():
    quad = rhombi.corner_points(np.array([[0.0, 0.0, 20.0, 60.0, 0.0, 0.0]]))[0]
    scar = measure_scar(rhombic.close(quad, FLAP), (0.0, -60.0), 1.0)
    assert scar.lower_end_midline_mm == 0.0


def test_allergies_reach_the_plan_and_unasked_is_not_none():
    findings = replace(case().findings, allergies=Allergies(latex=Answer.YES, dye=Answer.NO))
    said = planned(case(findings=findings)).allergies
    assert "latex" in said and "not asked: local anaesthetic" in said and "none" not in said
