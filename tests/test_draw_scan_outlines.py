"""What was mapped, drawn back on the slices it was mapped from."""

from dataclasses import replace

import factory
import numpy as np
import pytest

from crena.draw.scan_outlines import scan_outlines
from crena.geometry.frames import skin_frame, to_lps_mm
from crena.geometry.slicing import to_picture_mm
from crena.imaging import PhantomRecipe, picture_of, render
from crena.records import Origin, ScanMap, ShownKind, Spot, ViewName


@pytest.fixture(scope="module")
def shown():
    """Give a map in the phantom's own skin frame, and the phantom as it is shown."""
    phantom = render(PhantomRecipe(seed=12))
    frame = skin_frame(
        tuple(phantom.coccyx_tip_lps_mm),
        tuple(phantom.sacral_crest_lps_mm),
        tuple(phantom.anal_verge_lps_mm),
    )
    plain = factory.tract_map()
    tracts = tuple(replace(tract, origin=Origin.SCAN) for tract in plain.tracts)
    spot = Spot(name="S1", centre_mm=(5.0, 20.0, -8.0), radius_mm=2.0, gap_mm=4.0)
    found = ScanMap(
        tract_map=replace(plain, tracts=tracts, spots=(spot,)), frame=frame, probed=tracts[:1]
    )
    picture, _ = picture_of(phantom.volume, "")
    return found, picture


def test_every_view_shows_tract_spot_and_probe_on_slices_that_exist(shown):
    found, picture = shown
    outlines = scan_outlines(found, picture)
    for view in picture.views:
        own = [each for each in outlines if each.view is view.name]
        assert {each.kind for each in own} >= {ShownKind.TRACT, ShownKind.SPOT, ShownKind.PROBE}
        assert all(0 <= each.slice_number < view.slices for each in own)


def test_a_vertex_of_a_tract_lies_inside_its_outline_on_its_slice(shown):
    found, picture = shown
    tract = found.tract_map.tracts[0]
    middle = len(tract.centre_mm) // 2
    placed = to_lps_mm(found.frame, [tract.centre_mm[middle]])
    outlines = scan_outlines(found, picture)
    for view in picture.views:
        x, y, z = to_picture_mm(view, picture.affine_mm, placed)[0]
        number = round(z / view.step_mm)
        lines = [
            np.array(each.outline_mm)
            for each in outlines
            if (each.view, each.slice_number, each.kind, each.name)
            == (view.name, number, ShownKind.TRACT, tract.name)
        ]
        near = min(np.hypot(*(line - (x, y)).T).min() for line in lines)
        off = abs(z - number * view.step_mm)
        assert near == pytest.approx(np.sqrt(tract.radius_mm[middle] ** 2 - off**2), abs=0.5)


def test_a_spot_is_cut_on_as_many_slices_as_its_width_spans(shown):
    found, picture = shown
    outlines = scan_outlines(found, picture)
    for view in picture.views:
        count = sum(e.kind is ShownKind.SPOT and e.view is view.name for e in outlines)
        assert abs(count - 4.0 / view.step_mm) <= 1


def test_what_lies_outside_of_the_scan_is_drawn_on_no_slice(shown):
    found, picture = shown
    far = replace(found.tract_map.spots[0], centre_mm=(0.0, 900.0, 0.0))
    away = replace(found, probed=(), tract_map=replace(found.tract_map, tracts=(), spots=(far,)))
    kept = [e for e in scan_outlines(away, picture) if e.view is ViewName.ACROSS]
    assert [e for e in kept if e.kind is ShownKind.SPOT] == []
