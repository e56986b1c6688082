"""What was mapped, and what is cut out, on the slices of the scan."""

from dataclasses import replace

import factory
import numpy as np
import pytest
from sample_excisions import rhombus_round
from scipy.spatial.distance import cdist

from crena.draw.scan_outlines import Pane, cut_outlines, scan_outlines
from crena.geometry.frames import skin_frame, to_lps_mm
from crena.geometry.measures import lengths_along_mm, polygon_area_mm2
from crena.geometry.slicing import cut_sheet, to_picture_mm
from crena.geometry.unrolling import height_mm, skin_map
from crena.imaging import PhantomRecipe, picture_of, render
from crena.records import Limits, Origin, Precision, ScanMap, ShownKind, Spot, ViewName
from crena.sinus.excise import excise, field_of
from crena.sinus.specimen import specimen_solid
from crena.sinus.walls import wall_sheets


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


@pytest.fixture(scope="module")
def cut(shown):
    """Give an excision round the disease, its body, and all its outlines by view."""
    found, picture = shown
    tract_map = found.tract_map
    field = field_of(tract_map, Precision())
    outline = rhombus_round(tract_map, wall_angle=6.0)
    measured = excise(outline, field, Limits(), np.random.default_rng(1))
    body = specimen_solid(wall_sheets(outline, field.skin, field.floor), field.skin, field.floor)
    panes = [whole(view, shown) for view in picture.views]
    return measured, body, {p.view: cut_outlines(p, body, tract_map, 5.0) for p in panes}


def lines_of(outlines, kind, number, name=""):
    return [
        np.array(o.outline_mm)
        for o in outlines
        if (o.kind, o.slice_number) == (kind, number) and name in ("", o.name)
    ]


def whole(view, shown):
    found, picture = shown
    return Pane(picture=picture, frame=found.frame, view=view, first=0, last=view.slices - 1)


def test_the_skin_of_the_specimen_is_closed_and_turned_one_way(cut):
    _, body, _ = cut
    starts, ends = body.triangles.ravel(), np.roll(body.triangles, -1, axis=1).ravel()
    long = np.linalg.norm(body.points[starts] - body.points[ends], axis=1) > 0
    runs = list(zip(starts[long].tolist(), ends[long].tolist(), strict=True))
    assert len(set(runs)) == len(runs)
    assert {(q, p) for p, q in runs} == set(runs)


def test_the_cuts_of_all_slices_come_to_the_volume_of_the_excision(cut):
    measured, _, views = cut
    for view, outlines in views.items():
        areas = [polygon_area_mm2(o.outline_mm) for o in outlines if o.kind is ShownKind.CUT]
        assert abs(sum(areas)) * view.step_mm / 1000 == pytest.approx(measured.volume_ml, rel=0.05)


def test_no_slice_shows_less_than_the_least_distance_and_one_shows_about_it(cut, shown):
    measured, _, views = cut
    skin = skin_map(shown[0].tract_map.skin)
    x, y = np.meshgrid(skin.x_mm, skin.y_mm)
    grid = np.stack([x, y, skin.z_mm], axis=-1)
    seen = []
    for view in (v for v in views if v.name is not ViewName.BEHIND):
        outlines = views[view]
        placed = whole(view, shown).place(grid.reshape(-1, 3)).reshape(grid.shape)
        for number in range(view.slices):
            disease = [
                line
                for kind in (ShownKind.TRACT, ShownKind.CAVITY)
                for line in lines_of(outlines, kind, number)
            ]
            lids = [dense(line) for line in cut_sheet(placed, number * view.step_mm)]
            for line in lines_of(outlines, ShownKind.CUT, number):
                edge = dense(np.concatenate([line, line[:1]]))
                below = edge[cdist(edge, np.concatenate(lids)).min(axis=1) > 2.0]
                seen += [cdist(part, below).min() for part in disease]
    assert measured.least_clearance_mm - 0.6 < min(seen) < measured.least_clearance_mm + 1.0


def dense(line):
    """Return a line with a point every quarter of a millimetre or so."""
    run = lengths_along_mm(np.asarray(line))
    every = np.linspace(0, run[-1], int(4 * run[-1]) + 2)
    return np.column_stack([np.interp(every, run, side) for side in np.transpose(line)])


def test_the_margin_lies_its_distance_outside_of_a_tract(cut):
    *_, views = cut
    for outlines in views.values():
        away = []
        for one in (o for o in outlines if o.kind is ShownKind.TRACT):
            margin = lines_of(outlines, ShownKind.MARGIN, one.slice_number, one.name)
            away.append(cdist(one.outline_mm, np.concatenate(margin)).min())
        assert 4.8 < min(away) < 5.6


def test_the_fascia_is_drawn_at_its_height_and_runs_beyond_the_cut(cut, shown):
    *_, views = cut
    view, outlines = next((v, o) for v, o in views.items() if v.name is ViewName.ACROSS)
    floor = skin_map(shown[0].tract_map.floor)
    points = [(x, 20.0, height_mm(floor, [(x, 20.0)])[0]) for x in (-30.0, 0.0, 25.0)]
    for place in whole(view, shown).place(points):
        number = round(place[2] / view.step_mm)
        line = np.concatenate(lines_of(outlines, ShownKind.FLOOR, number))
        assert np.hypot(*(line - place[:2]).T).min() < 1.6
