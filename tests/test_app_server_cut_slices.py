"""The cut on the slices over HTTP: drawn where the plan lies, refused where that is not known."""

from dataclasses import replace

import numpy as np
import pytest
from factory import TODAY, case, tract_map

from crena.app.case_files import CASES, plan_text
from crena.app.planning_job import inputs_hash_of, provenance_of
from crena.app.scan_files import picture_file, picture_from, stored_scan
from crena.app.server.standing import placed
from crena.draw.scan_outlines import Pane
from crena.geometry.frames import to_skin_mm
from crena.geometry.slicing import from_voxels
from crena.imaging import PhantomRecipe, render
from crena.planning.compose import plan_case
from crena.records import Author, Dossier, ScanClicks, StoredPlans
from crena.sinus.mapping import frame_of
from crena.store.files import keep_file
from crena.store.revisions import create_case, read_case, save_case

ME = Author(by="test", why="test")


@pytest.fixture(scope="module")
def shown():
    """Give the file that a phantom is shown from, and clicks on its landmarks."""
    phantom = render(PhantomRecipe(seed=12))
    clicks = ScanClicks(
        coccyx_tip_lps_mm=tuple(phantom.coccyx_tip_lps_mm),
        sacral_crest_lps_mm=tuple(phantom.sacral_crest_lps_mm),
        anal_verge_lps_mm=tuple(phantom.anal_verge_lps_mm),
    )
    return picture_file(phantom.volume), clicks


@pytest.fixture(scope="module")
def made(shown):
    """Plan a case that has these clicks."""
    entered = case(clicks=shown[1])
    return plan_case(entered, tract_map(), provenance_of(entered, None), today=TODAY)


@pytest.fixture
def planned(store, shown, made):
    """Store the case with its scan and its plans; give its id."""
    content, clicks = shown
    scan = stored_scan(picture_from(content), (), keep_file(store, [content]))
    entered = case(clicks=clicks)
    plans = StoredPlans(
        sha256=keep_file(store, [plan_text(made).encode()]),
        code=made.code,
        inputs_hash=inputs_hash_of(entered, scan.voxels_sha256),
        made_on=made.made_on,
        version="test",
    )
    dossier = placed(Dossier(case=entered, scan=scan, plans=plans))
    return create_case(store, dossier, ME).case_id


def ask(client, case_id, made, **changes):
    body = {"plan": "A", "code": made.code, **changes}
    return client.post(f"/api/cases/{case_id}/preview/slice", json=body)


def nearest(client, case_id, made, **changes):
    """Ask for the slice that shows where the wall comes nearest; give what it cuts."""
    first = ask(client, case_id, made, **changes)
    assert first.status_code == 200, first.text
    number = round(first.json()["nearest_voxel"][2])
    return number, ask(client, case_id, made, slice_number=number, **changes).json()


def lines(answer, kind):
    return [np.array(o["outline_mm"]) for o in answer["outlines"] if o["kind"] == kind]


def test_the_cut_lies_on_the_slice_at_the_corners_of_its_plan(client, planned, made, shown):
    content, clicks = shown
    picture = picture_from(content)
    view = picture.views[0]
    pane = Pane(picture=picture, frame=frame_of(clicks), view=view, first=0, last=view.slices - 1)
    corners = [tuple(c) for c in made.plans[0].closure.points_mm.values()]
    heights = pane.place([(s, y, 0.0) for s, y in corners])[:, 2] / view.step_mm
    number, answer = nearest(client, planned, made)
    assert heights.min() - 3 < number < heights.max() + 3
    assert lines(answer, "cut") and lines(answer, "floor") and lines(answer, "margin")
    beyond = ask(client, planned, made, slice_number=0).json()
    assert lines(beyond, "cut") == []


def test_a_moved_plan_is_cut_where_it_was_moved_to(client, planned, made):
    _, before = nearest(client, planned, made)
    centre = np.mean([made.plans[0].closure.points_mm[name] for name in "ABCD"], axis=0)
    to = (centre + (6.0, 0.0)).tolist()
    move = {"kind": "place", "handle": "centre", "to_mm": to}
    number = before["outlines"][0]["slice_number"]
    after = ask(client, planned, made, moves=[move], slice_number=number).json()
    step = np.mean(lines(after, "cut")[0], axis=0) - np.mean(lines(before, "cut")[0], axis=0)
    assert step[0] == pytest.approx(6.0, abs=1.5)  # the patient's right is on the right
    assert abs(step[1]) < 2.0


def test_the_nearest_wall_is_shown_at_a_place_on_the_disease(client, planned, made, shown):
    content, clicks = shown
    answer = ask(client, planned, made).json()
    placed_mm = from_voxels(picture_from(content).affine_mm, [answer["nearest_voxel"]])
    x, y, z = to_skin_mm(frame_of(clicks), placed_mm)[0]
    nearest = min(
        (c for c in made.plans[0].excision.clearances if not c.part.startswith("pit")),
        key=lambda c: c.least_mm,
    )
    assert np.allclose((x, y, z), nearest.at_mm, atol=0.6)


def test_the_margin_is_the_one_that_is_asked_for_now(client, planned, made):
    wide = CASES.dump_python(case(), mode="json")["limits"] | {"least_clearance_mm": 9.0}
    _, before = nearest(client, planned, made)
    number = before["outlines"][0]["slice_number"]
    after = ask(client, planned, made, slice_number=number, limits=wide).json()
    spans = [np.ptp(np.concatenate(lines(a, "margin"))[:, 0]) for a in (before, after)]
    assert spans[1] > spans[0] + 3.0


def test_another_limit_or_label_that_is_saved_leaves_the_plans_where_they_lie(
    client, store, planned, made
):
    held = read_case(store, planned, ME)
    limits = replace(held.dossier.case.limits, least_clearance_mm=6.0)
    patient = replace(held.dossier.case.patient, label="Corrected")
    other = replace(held.dossier.case, limits=limits, patient=patient)
    save_case(store, planned, held.number, replace(held.dossier, case=other), ME)
    _, answer = nearest(client, planned, made)
    assert lines(answer, "cut")


def test_nothing_is_drawn_once_a_landmark_was_moved(client, store, planned, made):
    held = read_case(store, planned, ME)
    clicks = held.dossier.case.clicks
    tip = tuple(np.add(clicks.coccyx_tip_lps_mm, (0, 0, 4.0)).tolist())
    moved = replace(held.dossier.case, clicks=replace(clicks, coccyx_tip_lps_mm=tip))
    save_case(store, planned, held.number, replace(held.dossier, case=moved), ME)
    answer = ask(client, planned, made)
    assert answer.status_code == 409
    assert "not drawn on the slices" in answer.json()["detail"]


def test_a_case_without_a_scan_says_so(client, store, made):
    plans = StoredPlans(
        sha256=keep_file(store, [plan_text(made).encode()]),
        code=made.code,
        inputs_hash=inputs_hash_of(case(), None),
        made_on=made.made_on,
        version="test",
    )
    case_id = create_case(store, Dossier(case=case(), plans=plans), ME).case_id
    answer = ask(client, case_id, made)
    assert (answer.status_code, answer.json()["detail"]) == (
        404,
        "This case has no scan. Add the files of one MR series.",
    )


@pytest.mark.parametrize("changes", [{"slice_number": 9000}, {"plan": "Q"}])
def test_a_slice_or_a_plan_that_is_not_there_is_refused(client, planned, made, changes):
    assert ask(client, planned, made, **changes).status_code == 404
