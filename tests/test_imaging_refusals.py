"""The reader refuses whatever is not certain, in a sentence that says what to do next."""

import re
import shutil
import tracemalloc
from dataclasses import replace

import numpy as np
import pydicom
import pytest
from pydicom.uid import (
    DeflatedExplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGBaseline8Bit,
    JPEGLSLossless,
    RLELossless,
)
from test_imaging_read import SEGMENTATION, SMALL, change, change_all, move, paths

from crena.imaging import _headers, _pixels, read, read_series, render, write_series
from crena.records.errors import InputError, ScanError

CT = "1.2.840.10008.5.1.4.1.1.2"
ENHANCED = "1.2.840.10008.5.1.4.1.1.4.1"


@pytest.fixture(scope="module")
def original(tmp_path_factory):
    folder = tmp_path_factory.mktemp("refused") / "series"
    write_series(render(SMALL).volume, folder, label="DEMONSTRATION^ONE", uid_seed=2)
    return folder


@pytest.fixture
def series(original, tmp_path):
    return shutil.copytree(original, tmp_path / "series")


def refused(series, words, **options):
    with pytest.raises(ScanError, match=words) as caught:
        read_series(series, **options)
    text = str(caught.value)
    assert re.search(r"(Export|Name|Remove) ", text), "says what to do next"
    assert 1 <= len(re.findall(r"\.(?=\s|$)", text)) <= 3
    return text


def test_a_folder_that_is_missing_empty_or_without_dicom_is_refused(tmp_path):
    with pytest.raises(InputError, match="There is no folder"):
        read_series(tmp_path / "nowhere")
    with pytest.raises(InputError, match="holds no file"):
        read_series(tmp_path)
    (tmp_path / "a.txt").write_text("text")
    with pytest.raises(InputError, match="holds no DICOM file among 1"):
        read_series(tmp_path)


@pytest.mark.parametrize(("kind", "modality"), [(CT, "CT"), (SEGMENTATION, "SEG")])
def test_a_series_that_is_not_mr_is_refused_by_its_name(series, kind, modality):
    change_all(series, SOPClassUID=kind, Modality=modality)
    refused(series, f"no MR image but {modality}")


def test_an_enhanced_object_is_refused(series):
    change_all(series, SOPClassUID=ENHANCED)
    refused(series, "enhanced MR object")


def test_several_series_are_listed_and_one_can_be_named(series, original, tmp_path):
    second = render(replace(SMALL, seed=9)).volume
    write_series(second, series / "second", label="DEMONSTRATION^TWO", uid_seed=3)
    text = refused(series, "2 series of 2 patients")
    first_uid = pydicom.dcmread(paths(original)[0]).SeriesInstanceUID
    assert first_uid in text and "12 images" in text
    one = read_series(series, series_uid=first_uid)
    assert np.array_equal(one.voxels, read_series(original).voxels)
    refused(series, "but none is 1.2.3", series_uid="1.2.3")


def test_a_fault_in_another_series_does_not_matter_to_the_one_that_is_named(series):
    uid = pydicom.dcmread(paths(series)[0]).SeriesInstanceUID
    extra = shutil.copy(paths(series)[0], series / "derived.dcm")
    change(extra, SeriesInstanceUID="2.25.5", ImagePositionPatient=None)
    assert len(read_series(series, series_uid=uid).voxels) == 12


def test_a_missing_slice_is_refused_and_counted(series):
    paths(series)[5].unlink()
    refused(series, "1 slice is missing, the first gap after IM0005.dcm")
    paths(series)[5].unlink()
    refused(series, "2 slices are missing")


def test_uneven_spacing_is_refused_with_its_range(series):
    for path in paths(series)[6:]:
        move(path, along_mm=1.3)
    refused(series, "unevenly spaced, 9.00 to 10.30 mm, widest after IM0006.dcm")


def test_a_stack_just_within_tolerance_is_read_and_one_just_beyond_is_refused(series):
    allowed_mm = 0.02 * 9.0 + 0.01
    move(paths(series)[11], along_mm=allowed_mm - 0.01)
    assert len(read_series(series).voxels) == 12
    move(paths(series)[11], along_mm=0.02)
    refused(series, "unevenly spaced")


def test_a_spacing_that_drifts_by_little_at_each_slice_is_refused(series):
    for number, path in enumerate(paths(series)):
        move(path, along_mm=0.1 * abs(number - 5.5))
    refused(series, "drift from an even spacing, 8.90 to 9.10 mm")


def test_a_sheared_stack_is_refused(series):
    for number, path in enumerate(paths(series)):
        move(path, aside_mm=0.4 * number)
    refused(series, "sheared: slices are shifted sideways by up to 4.40 mm")


def test_two_images_at_one_place_are_refused(series):
    extra = shutil.copy(paths(series)[3], series / "twin.dcm")
    change(extra, SOPInstanceUID="2.25.4")
    refused(series, "lie at the same place")
    change(extra, EchoTime="120")
    refused(series, "several echoes or time points")


def test_one_identifier_on_two_different_images_is_refused(series):
    shutil.copy(paths(series)[3], series / "twin.dcm")
    change(series / "twin.dcm", RescaleSlope="2")
    refused(series, "carry the same identifier")


def test_too_few_slices_are_refused(series):
    for path in paths(series)[7:]:
        path.unlink()
    refused(series, "has 7 slices; at least 8")


def test_two_full_stacks_in_one_series_are_refused(series):
    for number, path in enumerate(paths(series)):
        extra = shutil.copy(path, series / f"other{number}.dcm")
        change(
            extra, SOPInstanceUID=f"2.25.{number + 1}", ImageOrientationPatient=[0, 1, 0, 0, 0, -1]
        )
    refused(series, "2 stacks in different orientations")


@pytest.mark.parametrize(
    ("elements", "words"),
    [
        ({"ImagePositionPatient": None}, "does not state its image position"),
        ({"ImageOrientationPatient": None}, "does not state its image orientation"),
        ({"PixelSpacing": None}, "does not state its pixel spacing"),
        ({"ImagePositionPatient": ["1", "2"]}, "not 3 numbers"),
        ({"ImagePositionPatient": ["1", "nan", "3"]}, "not 3 numbers"),
        ({"PixelSpacing": ["nan", "1"]}, "not 2 numbers"),
        ({"PixelSpacing": ["0", "1"]}, "pixel spacing of 0 x 1 mm"),
        ({"PixelSpacing": ["-1", "1"]}, "pixel spacing of -1 x 1 mm"),
        ({"PixelSpacing": ["2.4", "1.8"]}, "different pixel spacings"),
        ({"ImageOrientationPatient": ["1", "0", "0", "0.1", "1", "0"]}, "right angles"),
        ({"ImageOrientationPatient": ["2", "0", "0", "0", "1", "0"]}, "length one"),
        ({"FrameOfReferenceUID": "2.25.8"}, "different frames of reference"),
        ({"PatientID": "OTHER"}, "several patients"),
        ({"SliceThickness": "-3"}, "slice thickness of -3 mm"),
        ({"SliceThickness": "3"}, "different thicknesses"),
        ({"Rows": 4000}, "4000 rows"),
        ({"Columns": 0}, "0 columns"),
        ({"Rows": 63}, "63 x 80 pixels"),
        ({"NumberOfFrames": 3}, "several frames"),
        ({"PhotometricInterpretation": "MONOCHROME1"}, "MONOCHROME1, not MONOCHROME2"),
        ({"SamplesPerPixel": 3}, "not MONOCHROME2"),
        ({"SOPInstanceUID": None}, "no identifier"),
        ({"SeriesInstanceUID": None}, "no identifier"),
        ({"RescaleSlope": "0"}, "rescale slope of 0"),
        ({"RescaleSlope": "inf"}, "rescale slope of inf"),
        ({"BitsStored": 20}, "20 of 16 bits"),
        ({"HighBit": 12}, "up to bit 12"),
        ({"PixelData": None}, "no pixels"),
        ({"PixelData": b"\0" * 100}, "holds 100 of 10240 bytes"),
        ({"BitsAllocated": None}, "cannot be decoded"),
    ],
)
def test_one_bad_image_refuses_the_series(series, elements, words):
    change(paths(series)[4], **elements)
    refused(series, words)


def test_more_pixels_than_announced_are_refused(series):
    change(paths(series)[4], PixelData=b"\0" * 20480)
    refused(series, "holds 20480 of 10240 bytes")


@pytest.mark.parametrize("kept", [140, 200, 700, 3000])
def test_a_file_that_is_cut_short_is_refused(series, kept):
    path = paths(series)[4]
    path.write_bytes(path.read_bytes()[:kept])
    refused(series, "IM0005.dcm")


def test_a_text_where_a_number_should_be_is_refused(series):
    path = paths(series)[4]
    content = path.read_bytes()
    at = content.index(b"\x20\x00\x32\x00DS") + 8
    path.write_bytes(content[:at] + b"x" + content[at + 1 :])
    refused(series, "IM0005.dcm")


def test_a_deflated_file_is_refused_before_it_is_inflated(series):
    image = pydicom.dcmread(paths(series)[4])
    image.file_meta.TransferSyntaxUID = DeflatedExplicitVRLittleEndian
    image.save_as(paths(series)[4])
    refused(series, "is deflated")


def test_elements_without_end_are_refused_before_all_are_read(series):
    place = sorted(series.iterdir())[0]
    place.write_bytes(bytes(128) + b"DICM" + bytes(16 * 2**20))
    refused(series, "a header of more than 4 MiB. Export the series again.")


def test_one_element_larger_than_a_header_is_refused_unread(series):
    place, mib = sorted(series.iterdir())[0], 2**20
    element = b"\x09\x00\x10\x10" + (60 * mib).to_bytes(4, "little")
    place.write_bytes(bytes(128) + b"DICM" + element + bytes(60 * mib))
    tracemalloc.start()
    try:
        refused(series, "a header of more than 4 MiB. Export the series again.")
        assert tracemalloc.get_traced_memory()[1] < 8 * mib
    finally:
        tracemalloc.stop()


def test_a_coding_that_is_not_read_is_named(series):
    image = pydicom.dcmread(paths(series)[4])
    image.file_meta.TransferSyntaxUID = JPEGBaseline8Bit
    image.PixelData = pydicom.encaps.encapsulate([b"\xff\xd8\xff\xd9"])
    image["PixelData"].VR = "OB"
    image.save_as(paths(series)[4])
    refused(series, "coded as JPEG Baseline")


@pytest.mark.parametrize("syntax", [JPEG2000Lossless, JPEGLSLossless])
def test_compressed_pixels_that_announce_another_size_are_refused_undecoded(
    series, monkeypatch, syntax
):
    image = pydicom.dcmread(paths(series)[0])
    image.compress(syntax, generate_instance_uid=False)
    image.Rows = 32
    image.save_as(paths(series)[0])
    for path in paths(series)[1:]:
        change(path, Rows=32, PixelData=b"\0" * (32 * 80 * 2))
    monkeypatch.setattr(_pixels, "pixel_array", None)
    refused(series, "announces 32 x 80 pixels and holds 64 x 80")


def test_compressed_pixels_that_are_garbage_are_refused(series):
    image = pydicom.dcmread(paths(series)[4])
    image.compress(RLELossless, generate_instance_uid=False)
    image.PixelData = pydicom.encaps.encapsulate([b"\x07" * 90])
    image.save_as(paths(series)[4])
    refused(series, "cannot be decoded")


def test_any_fault_of_the_parser_becomes_a_refusal(series, monkeypatch):
    def fails(*_, **__):
        raise RecursionError

    monkeypatch.setattr(_headers, "dcmread", fails)
    refused(series, "cannot be read")


def test_changed_bytes_give_a_volume_or_a_refusal_and_nothing_else(series):
    rng = np.random.default_rng(11)
    outcomes = set()
    for _ in range(120):
        path = paths(series)[rng.integers(12)]
        kept = path.read_bytes()
        content = bytearray(kept)
        for at in rng.integers(128, 1600, size=3):
            content[at] = rng.integers(256)
        path.write_bytes(content)
        outcomes.add(outcome(series))
        path.write_bytes(kept)
    assert outcomes == {"volume", "refusal"}


def outcome(series):
    try:
        volume = read_series(series)
    except InputError:
        return "refusal"
    assert np.isfinite(volume.voxels).all() and np.linalg.det(volume.affine[:3, :3]) > 0.0
    return "volume"


@pytest.mark.parametrize(
    ("room", "limit", "value", "words"),
    [
        (read, "MAX_FILES", 11, "more than 11 DICOM files"),
        (read, "MAX_ENTRIES", 12, "holds 12 files or more"),
        (read, "MAX_BYTES", 2**16, "MiB of DICOM files"),
        (_headers, "MAX_FILE_BYTES", 2**10, "at most 0 MiB"),
    ],
)
def test_the_limits_of_size_hold_before_anything_is_decoded(
    series, monkeypatch, room, limit, value, words
):
    monkeypatch.setattr(room, limit, value)
    monkeypatch.setattr(_pixels, "pixel_array", None)
    refused(series, words)


def test_a_series_that_would_be_too_large_once_decoded_is_refused(series, monkeypatch):
    total = sum(path.stat().st_size for path in paths(series))
    monkeypatch.setattr(read, "MAX_BYTES", total + 1)
    monkeypatch.setattr(_pixels, "pixel_array", None)
    refused(series, "The series needs")
