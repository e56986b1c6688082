"""Guards against hazards that no other test shows by itself."""

from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, tract_map

from crena.app.planning_job import provenance_of
from crena.flaps import rhombic
from crena.flaps.scars import measure_scar
from crena.geometry import rhombi
from crena.geometry.unrolling import skin_map
from crena.planning.candidates import measured
from crena.planning.compose import plan_case, search
from crena.planning.refusals import all_kept
from crena.records import Allergies, Answer, Limits, NoPlanError, Side
from crena.sinus import mapping
from crena.sinus.clearance import wall_gaps
from crena.sinus.excise import field_of
from crena.sinus.parts import parts_of
from crena.sinus.walls import wall_sheets


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


def test_walls_that_lean_inward_at_depth_lower_the_clearance():
    """Walls on a floor of 25 mm reach below a tract; cut short, they would miss it."""
    found = tract_map()
    hull = np.array([[-40, 30], [0, -10], [40, 30], [0, 75.0]])
    quad = hull[[3, 0, 1, 2]]
    flap = rhombic.RhombicFlap(
        donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0
    )
    outline = rhombic.outline_of(rhombic.close(quad, flap), 0.0)
    skin, floor = skin_map(found.skin), skin_map(found.floor)
    sheets = wall_sheets(outline, skin, floor)
    assert all((s.bottom[:, 2] < s.top[:, 2] - 15).all() for s in sheets)
    assert wall_gaps(parts_of(found), sheets)[0].gaps[0] > 0


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
    flap = rhombic.RhombicFlap(
        donor_side=Side.LEFT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0
    )
    scar = measure_scar(rhombic.close(quad, flap), (0.0, -60.0), 1.0)
    assert scar.lower_end_midline_mm == 0.0


def test_allergies_reach_the_plan_and_unasked_is_not_none():
    findings = replace(case().findings, allergies=Allergies(latex=Answer.YES, dye=Answer.NO))
    said = planned(case(findings=findings)).allergies
    assert "latex" in said and "not asked: local anaesthetic" in said and "none" not in said
