"""The written series is valid, complete or absent, and the same every time."""

import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pydicom
import pytest

from crena.imaging import PhantomRecipe, read_series, render, write, write_series
from crena.records.errors import InputError

SMALL = PhantomRecipe(
    rows=64,
    columns=80,
    slices=12,
    row_spacing_mm=2.4,
    column_spacing_mm=2.0,
    slice_spacing_mm=10.0,
    slice_thickness_mm=9.0,
    tilt_deg=13.0,
    roll_deg=-7.0,
)
LABEL = "DEMONSTRATION^ONE"


@pytest.fixture(scope="module")
def volume():
    return render(SMALL).volume


@pytest.fixture(scope="module")
def files(volume, tmp_path_factory):
    folder = tmp_path_factory.mktemp("written") / "series"
    return write_series(volume, folder, label=LABEL, uid_seed=5)


def said_by(*command):
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    return done.stdout + done.stderr


def test_no_file_breaks_the_standard(files):
    for file in files:
        said = said_by("dciodvfy", str(file))
        assert "MRImage" in said
        assert "Error" not in said


def test_the_validator_does_find_a_broken_file(files, tmp_path):
    broken = pydicom.dcmread(files[0])
    del broken.ScanningSequence
    broken.save_as(tmp_path / "broken.dcm")
    assert "Error" in said_by("dciodvfy", str(tmp_path / "broken.dcm"))


def test_the_files_agree_with_each_other(files):
    assert said_by("dcentvfy", *map(str, files)) == ""


def test_the_only_warnings_are_about_the_date_that_an_invented_study_lacks(files):
    lines = [line for line in said_by("dciodvfy", str(files[3])).splitlines() if "Warning" in line]
    assert all("Study Date" in line or "Study Time" in line for line in lines)


def test_one_file_is_written_for_each_slice_and_nothing_else(files, volume):
    assert len(files) == len(volume.voxels)
    assert sorted(files[0].parent.iterdir()) == files
    assert [child.name for child in files[0].parent.parent.iterdir()] == ["series"]


def test_the_series_says_who_and_how(files):
    image = pydicom.dcmread(files[0])
    assert image.PatientName == LABEL
    assert image.PatientPosition == "FFP"
    assert image.ImageType[2] == "OTHER"
    assert image.SOPClassUID == pydicom.uid.MRImageStorage
    assert image.file_meta.TransferSyntaxUID == pydicom.uid.ExplicitVRLittleEndian


def test_decimal_strings_have_at_most_16_characters(files):
    for file in files:
        for element in pydicom.dcmread(file).iterall():
            if element.VR == "DS":
                values = element.value if element.VM > 1 else [element.value]
                assert max(len(str(value)) for value in values) <= 16


def test_a_tiny_negative_number_keeps_to_16_characters():
    assert write._decimal(-1.23456789012e-05) == "-1.23456789e-05"
    assert write._decimal(-0.0) == "0"


def test_the_same_seed_gives_the_same_bytes_and_another_seed_other_identifiers(
    files, volume, tmp_path
):
    again = write_series(volume, tmp_path / "again", label=LABEL, uid_seed=5)
    other = write_series(volume, tmp_path / "other", label=LABEL, uid_seed=6)
    assert [file.read_bytes() for file in again] == [file.read_bytes() for file in files]
    for word in ("StudyInstanceUID", "SeriesInstanceUID", "SOPInstanceUID"):
        assert pydicom.dcmread(other[0])[word] != pydicom.dcmread(files[0])[word]


def test_identifiers_are_valid_and_each_image_has_its_own(files):
    uids = [pydicom.dcmread(file).SOPInstanceUID for file in files]
    assert len(set(uids)) == len(files) and all(uid.is_valid for uid in uids)


def test_a_supine_volume_says_so(volume, tmp_path):
    supine = replace(volume, prone=False)
    first = write_series(supine, tmp_path / "supine", label=LABEL, uid_seed=1)[0]
    assert pydicom.dcmread(first).PatientPosition == "FFS"


def test_negative_signals_survive(volume, tmp_path):
    shifted = replace(volume, voxels=volume.voxels - 300.0)
    write_series(shifted, tmp_path / "signed", label=LABEL, uid_seed=1)
    assert np.array_equal(read_series(tmp_path / "signed").voxels, shifted.voxels)


def test_signals_up_to_the_last_of_16_bits_survive(volume, tmp_path):
    voxels = volume.voxels.copy()
    voxels[2, 3, 5], voxels[2, 3, 6] = 65535.0, -0.3
    write_series(replace(volume, voxels=voxels), tmp_path / "wide", label=LABEL, uid_seed=1)
    assert read_series(tmp_path / "wide").voxels[2, 3, 5:7].tolist() == [65535.0, 0.0]


def test_an_empty_folder_is_filled_and_a_full_one_refused(volume, tmp_path):
    folder = tmp_path / "there"
    folder.mkdir()
    write_series(volume, folder, label=LABEL, uid_seed=1)
    with pytest.raises(InputError, match="already holds something"):
        write_series(volume, folder, label=LABEL, uid_seed=1)


def test_a_write_that_fails_half_way_leaves_nothing(volume, tmp_path, monkeypatch):
    def fails_at_the_fourth(stack, k, folder, whole=write._write_slice):
        if k == 3:
            raise OSError("disk full")
        return whole(stack, k, folder)

    monkeypatch.setattr(write, "_write_slice", fails_at_the_fourth)
    with pytest.raises(OSError, match="disk full"):
        write_series(volume, tmp_path / "never", label=LABEL, uid_seed=1)
    assert list(tmp_path.iterdir()) == []


def sheared(volume):
    affine = volume.affine.copy()
    affine[:3, 2] += 0.1 * affine[:3, 0]
    return replace(volume, affine=affine)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (sheared, "sheared"),
        (lambda volume: replace(volume, voxels=volume.voxels * 1e4), "do not fit 16 bits"),
        (lambda volume: replace(volume, voxels=volume.voxels * np.nan), "no numbers"),
        (lambda volume: replace(volume, voxels=volume.voxels[:0]), "no voxels"),
        (lambda volume: replace(volume, frame_of_reference_uid="1..2"), "no valid identifier"),
    ],
)
def test_a_volume_that_cannot_be_said_is_refused(volume, tmp_path, change, words):
    with pytest.raises(InputError, match=words):
        write_series(change(volume), tmp_path / "refused", label=LABEL, uid_seed=1)
    assert not Path(tmp_path / "refused").exists()


@pytest.mark.parametrize("label", ["", "N" * 65, "ONE\\TWO", "ONE\nTWO"])
def test_a_label_that_is_no_name_is_refused(volume, tmp_path, label):
    with pytest.raises(InputError, match="cannot stand for a name"):
        write_series(volume, tmp_path / "refused", label=label, uid_seed=1)
