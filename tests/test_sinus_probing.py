"""Tracts from probing: closed forms, mirror images, and what cannot be."""

from dataclasses import replace

import numpy as np
import pytest
from factory import case, mirrored, tract_map

from crena.geometry.unrolling import height_mm, skin_map
from crena.records import BodyEntry, InputError, Origin, PitEntry, Precision, Side
from crena.sinus.mapping import _laid_together, with_branch
from crena.sinus.probing import entered_pit, entered_skin, probed_tract

FLAT = skin_map(entered_skin(BodyEntry(cleft_depth_mm=0.0)))
CLEFT = skin_map(entered_skin(BodyEntry(cleft_depth_mm=18.0)))
PROBING = case().probings[0]


def tract_on(skin, **changes):
    pit = entered_pit(PitEntry(name="1", above_coccyx_tip_mm=14.0), skin)
    return probed_tract(replace(PROBING, **changes), pit, skin, Precision())


def test_tip_on_flat_skin_follows_pythagoras():
    tip = np.array(tract_on(FLAT).centre_mm[-1])
    run = np.sqrt(30**2 - 13**2)
    a = np.radians(22)
    assert tip == pytest.approx([-run * np.sin(a), 14 + run * np.cos(a), -13], abs=1e-6)


def test_readings_of_a_probed_tract_closed_form():
    tract = tract_on(FLAT)
    assert (tract.length_mm, tract.depth_mm) == pytest.approx((30, 13))
    assert tract.lateral_reach_mm == pytest.approx(np.sqrt(30**2 - 13**2) * np.sin(np.radians(22)))
    capsule = np.pi * 2.5**2 * 30 + 4 / 3 * np.pi * 2.5**3
    assert tract.volume_ml == pytest.approx(capsule / 1000, rel=1e-6)


def test_depth_in_a_cleft_is_below_the_skin_over_the_tip():
    tip = np.array(tract_on(CLEFT).centre_mm[-1])
    assert height_mm(CLEFT, tip[None, :2])[0] - tip[2] == pytest.approx(13, abs=1e-6)
    assert tract_on(CLEFT).length_mm == pytest.approx(30, abs=1e-6)


def test_mirrored_probing_gives_the_mirrored_tract():
    one, other = tract_on(CLEFT), tract_on(CLEFT, side=Side.RIGHT)
    assert np.allclose(np.array(other.centre_mm), np.array(one.centre_mm) * [-1, 1, 1], atol=1e-6)


def test_a_longer_probe_with_a_loose_angle_is_less_certain():
    assert tract_on(FLAT, length_mm=60.0).sd_mm > tract_on(FLAT).sd_mm > 0


def test_tip_deeper_than_the_probe_is_long_is_refused():
    with pytest.raises(InputError, match="31 mm deep but the probe went only 30 mm"):
        tract_on(FLAT, tip_depth_mm=31.0)


def test_a_tract_that_leaves_the_midline_needs_a_side():
    with pytest.raises(InputError, match="say to which side of the patient"):
        tract_on(FLAT, side=None)


def test_pit_off_the_midline_lies_at_its_distance_along_the_skin():
    entry = PitEntry(name="1", above_coccyx_tip_mm=20.0, off_midline_mm=12.0, side=Side.LEFT)
    pit = entered_pit(entry, CLEFT)
    assert pit.at_mm == (-12.0, 20.0)
    assert -12 < pit.position_mm[0] < -8 and pit.position_mm[2] > 1


def test_map_holds_what_was_probed_and_says_that_there_was_no_scan():
    found = tract_map()
    assert [t.name for t in found.tracts] == ["T1", "T2"]
    assert found.cavities[0].name == "T1 end" and found.tracts[0].origin is Origin.PROBING
    assert "No scan" in found.notes[0]


def test_map_of_the_mirrored_case_is_mirrored():
    one, other = tract_map(), tract_map(**{"pits": mirrored(case()).pits,
                                           "probings": mirrored(case()).probings})  # fmt: skip
    for p, q in zip(one.tracts, other.tracts, strict=True):
        assert np.allclose(np.array(q.centre_mm), np.array(p.centre_mm) * [-1, 1, 1], atol=1e-6)


def test_tract_from_an_unknown_pit_is_refused_with_the_pits_that_exist():
    probings = (replace(PROBING, pit="7"),)
    with pytest.raises(InputError, match="pit “7”, but the pits are: 1, 2"):
        tract_map(probings=probings)


def test_tract_through_the_sacrum_is_refused():
    probings = (replace(PROBING, length_mm=60.0, tip_depth_mm=40.0),)
    with pytest.raises(InputError, match="below the fascia, into sacrum"):
        tract_map(probings=probings)


def test_case_without_a_pit_is_refused():
    with pytest.raises(InputError, match="no pit"):
        tract_map(pits=(), probings=())


def test_a_cavity_through_the_fascia_is_refused_like_a_tract():
    probings = (replace(PROBING, length_mm=30.0, tip_depth_mm=18.0, cavity_radius_mm=15.0),)
    with pytest.raises(InputError, match="T1 end would run .* mm below the fascia"):
        tract_map(probings=probings)


def test_disease_below_the_anal_verge_is_refused():
    with pytest.raises(InputError, match="below the anal verge"):
        tract_map(body=BodyEntry(anal_verge_below_coccyx_tip_mm=10.0), pits=(
            PitEntry(name="1", above_coccyx_tip_mm=-20.0),), probings=())  # fmt: skip


def test_two_tracts_of_one_name_are_refused():
    with pytest.raises(InputError, match="Two probed tracts are called “T1”"):
        tract_map(probings=(PROBING, PROBING))


def test_a_branch_found_on_the_table_joins_the_map():
    branch = replace(PROBING, tract="T9", pit="2", side=Side.RIGHT, cavity_radius_mm=None)
    wider = with_branch(tract_map(), branch, Precision())
    assert [t.name for t in wider.tracts] == ["T1", "T2", "T9"]


def test_probe_and_scan_far_apart_are_both_cleared():
    felt = tract_map().tracts[0]
    near = tuple((x - 8.0, y, z) for x, y, z in felt.centre_mm)
    kept, apart = _laid_together((replace(felt, centre_mm=near),), (felt,))
    assert [t.name for t in kept] == ["T1", "T1, probed"]
    assert apart[0].blind_end_mm == pytest.approx(8.0)
