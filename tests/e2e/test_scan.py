"""The scan in Debian's Chromium: taken in, marked, mapped, planned."""

import re

import pytest
from accessibility import faults
from hands import pixel_of

from crena.imaging import PhantomRecipe, read_series, render, write_series

PLANNING_MS = 240_000


@pytest.fixture(scope="module")
def phantom():
    return render(PhantomRecipe(seed=12))


@pytest.fixture(scope="module")
def folder(phantom, tmp_path_factory):
    """Write a folder as a disc has it: the series, and what else lies there."""
    made = tmp_path_factory.mktemp("disc") / "mri"
    write_series(phantom.volume, made, label="INVENTED^ONE", uid_seed="one")
    (made / "readme.txt").write_text("no image")
    return made


def mark(page, volume, place):
    """Turn to the slice of a place and tap it there; what is chosen is marked."""
    across, down, slice_number = pixel_of(volume, place)
    _, rows, columns = volume.voxels.shape
    page.get_by_role("slider").fill(str(slice_number))
    box = page.locator(".slice-paper").bounding_box()
    x, y = box["width"] * (across + 0.5) / columns, box["height"] * (down + 0.5) / rows
    page.locator(".slice-paper").click(position={"x": x, "y": y})


def choose(page, name, index=0):
    page.locator(".mark-choose", has_text=re.compile(name)).nth(index).click()


def mark_all(page, phantom, volume):
    choose(page, "coccyx tip")
    mark(page, volume, phantom.coccyx_tip_lps_mm)
    choose(page, "sacral crest")
    mark(page, volume, phantom.sacral_crest_lps_mm)
    choose(page, "Anal verge")
    mark(page, volume, phantom.anal_verge_lps_mm)
    choose(page, "Bone in the midline")
    for place in phantom.presacral_lps_mm[:8:3]:
        mark(page, volume, place)
    line = phantom.tracts[0].centre_lps_mm
    page.get_by_role("button", name="Add a tract").click()
    mark(page, volume, line[0])
    choose(page, "Blind end")
    mark(page, volume, line[-1])
    choose(page, "Way-points")
    mark(page, volume, line[len(line) // 2])


def test_a_folder_is_taken_in_a_tract_is_marked_and_the_case_is_planned(page, folder, phantom):
    page.get_by_role("button", name="Open the demonstration case").click()
    page.get_by_role("button", name="Use another scan").click()
    page.get_by_role("button", name="Take the scan out").click()
    page.locator("input[webkitdirectory]").set_input_files(folder)
    page.locator(".slice-paper").wait_for()
    page.get_by_role("button", name="Remove all marks").click()
    mark_all(page, phantom, read_series(folder))
    page.get_by_role("button", name="Map the disease").click()
    page.get_by_text("Mapped on").wait_for()
    assert page.locator(".scan-apart tbody tr").count() == 1
    page.locator(".slice-tract").first.wait_for()
    page.get_by_role("button", name="Plan the excision").click()
    page.wait_for_url(re.compile("/closure$"), timeout=PLANNING_MS)
    page.get_by_role("heading", name="Plan A, as cut").wait_for()


def test_what_is_no_image_is_said_in_one_sentence_and_nothing_is_lost(page, tmp_path):
    (tmp_path / "letter.pdf").write_bytes(b"%PDF-1.7" + bytes(500))
    page.locator(".case-list a").first.click()
    page.goto(re.sub(r"/[a-z]+$", "/disease", page.url))
    page.get_by_role("button", name="Use another scan").click()
    page.get_by_role("button", name="Take the scan out").click()
    page.locator("input[webkitdirectory]").set_input_files(tmp_path)
    alert = page.get_by_role("alert")
    alert.wait_for()
    assert "None of the 1 files is an MR image" in alert.inner_text()
    page.get_by_text("1 files were left out").click()
    page.get_by_text("This is no DICOM file.").wait_for()
    assert faults(page) == []


def test_everything_on_the_slice_is_done_by_keys_and_taken_back(page):
    page.goto(page.url.split("#")[0])
    page.get_by_role("button", name="Open the demonstration case").click()
    paper = page.locator(".slice-paper")
    paper.wait_for()
    page.get_by_text("Rename or remove T2").click()
    page.get_by_role("button", name="Remove T2 from the scan").click()
    page.get_by_role("button", name="Add a tract").click()
    before = page.locator(".mark-choose", has_text="not yet").count()
    paper.focus()
    for key in ("PageUp", "Shift+ArrowUp", "ArrowLeft", "w", "d", "Enter"):
        page.keyboard.press(key)
    page.get_by_text("Slice 22 of 40").first.wait_for()
    page.locator(".mark-row-chosen .mark-state", has_text=re.compile("^marked")).wait_for()
    assert page.locator(".mark-choose", has_text="not yet").count() == before - 1
    page.get_by_role("button", name="Undo").click()
    assert page.locator(".mark-choose", has_text="not yet").count() == before
    assert faults(page) == []
