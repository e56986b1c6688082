"""The reader agrees with two independent ones, and notes what it noticed."""

import shutil

import highdicom
import numpy as np
import pydicom
import pytest
import SimpleITK
from pydicom.config import disable_value_validation
from pydicom.uid import (
    ExplicitVRBigEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGLSLossless,
    RLELossless,
)

from crena.imaging import PhantomRecipe, read_series, render, write_series
from crena.records.errors import Cancelled

SMALL = PhantomRecipe(
    rows=64,
    columns=80,
    slices=12,
    row_spacing_mm=2.4,
    column_spacing_mm=1.7,
    slice_spacing_mm=9.0,
    slice_thickness_mm=9.0,
    tilt_deg=23.0,
    roll_deg=-12.0,
)
SEGMENTATION = "1.2.840.10008.5.1.4.1.1.66.4"


@pytest.fixture(scope="module")
def volume():
    return render(SMALL).volume


@pytest.fixture(scope="module")
def original(volume, tmp_path_factory):
    folder = tmp_path_factory.mktemp("read") / "series"
    write_series(volume, folder, label="DEMONSTRATION^ONE", uid_seed=2)
    return folder


@pytest.fixture
def series(original, tmp_path):
    return shutil.copytree(original, tmp_path / "series")


def paths(series):
    return sorted(series.glob("*.dcm"))


def change(path, **elements):
    """Rewrite one file with other elements; None removes an element."""
    image = pydicom.dcmread(path)
    with disable_value_validation():
        for word, value in elements.items():
            if value is None:
                delattr(image, word)
            else:
                setattr(image, word, value)
        image.save_as(path)


def change_all(series, **elements):
    for path in paths(series):
        change(path, **elements)


def move(path, *, along_mm=0.0, aside_mm=0.0):
    """Shift a slice along its normal and along its rows."""
    image = pydicom.dcmread(path)
    axes = np.array(image.ImageOrientationPatient, dtype=float).reshape(2, 3)
    shift = along_mm * np.cross(*axes) + aside_mm * axes[0]
    place = np.array(image.ImagePositionPatient, dtype=float) + shift
    change(path, ImagePositionPatient=[f"{value:.8g}" for value in place])


# --- what is read, against two independent readers


def test_a_series_comes_back_as_it_was_written(original, volume):
    back = read_series(original)
    assert np.array_equal(back.voxels, volume.voxels) and back.voxels.dtype == np.float32
    assert np.abs(back.affine - volume.affine).max() < 1e-6
    assert back.slice_thickness_mm == 9.0 and back.prone and back.notes == ()
    assert back.frame_of_reference_uid == volume.frame_of_reference_uid


def test_highdicom_agrees_after_putting_its_slices_in_our_order(original):
    back = read_series(original)
    peer = highdicom.get_volume_from_series([pydicom.dcmread(path) for path in paths(original)])
    affine = peer.affine[:, [2, 1, 0, 3]]
    voxels = peer.array
    if np.linalg.det(affine[:3, :3]) < 0:
        affine[:3, 3] += affine[:3, 2] * (len(voxels) - 1)
        affine[:3, 2] *= -1.0
        voxels = voxels[::-1]
    assert np.abs(back.affine - affine).max() < 0.005
    assert np.array_equal(back.voxels, voxels)


def test_simpleitk_agrees(original):
    back = read_series(original)
    reader = SimpleITK.ImageSeriesReader()
    reader.SetFileNames(reader.GetGDCMSeriesFileNames(str(original)))
    peer = reader.Execute()
    affine = np.eye(4)
    affine[:3, :3] = np.array(peer.GetDirection()).reshape(3, 3) * np.array(peer.GetSpacing())
    affine[:3, 3] = peer.GetOrigin()
    assert np.abs(back.affine - affine).max() < 0.005
    assert np.array_equal(back.voxels, SimpleITK.GetArrayFromImage(peer))


def test_unequal_spacings_go_to_the_right_axes(original):
    columns, rows, slices = np.linalg.norm(read_series(original).affine[:3, :3], axis=0)
    assert (columns, rows, slices) == pytest.approx((1.7, 2.4, 9.0))


def test_file_names_and_instance_numbers_do_not_matter(series, original):
    order = np.random.default_rng(3).permutation(12)
    for number, path in zip(order, paths(series), strict=True):
        change(path, InstanceNumber=int(number), SpacingBetweenSlices="1.5")
        path.rename(series / f"x{number}.bin")
    back, first = read_series(series), read_series(original)
    assert np.array_equal(back.voxels, first.voxels)
    assert np.array_equal(back.affine, first.affine)


def test_slices_listed_against_the_normal_are_put_in_ascending_order(series, original):
    for path in paths(series):
        image = pydicom.dcmread(path)
        axes = list(image.ImageOrientationPatient)
        flipped = [*axes[:3], *(-float(value) for value in axes[3:])]
        change(path, ImageOrientationPatient=[f"{float(value):.8g}" for value in flipped])
    back, first = read_series(series), read_series(original)
    assert np.linalg.det(back.affine[:3, :3]) > 0.0
    assert np.array_equal(back.voxels, first.voxels[::-1])


def test_files_in_subfolders_are_found(series, original):
    deeper = series / "a" / "b"
    deeper.mkdir(parents=True)
    paths(series)[4].rename(deeper / "slice")
    assert np.array_equal(read_series(series).voxels, read_series(original).voxels)


def test_rescale_is_applied_slice_by_slice(series, original):
    change(paths(series)[0], RescaleSlope="0.5", RescaleIntercept="-7")
    back, first = read_series(series).voxels, read_series(original).voxels
    assert np.allclose(back[0], 0.5 * first[0] - 7.0)
    assert np.array_equal(back[1:], first[1:])


def test_bits_above_the_stored_ones_are_dropped_and_the_sign_is_carried(series):
    stored = np.zeros((64, 80), dtype="<u2")
    stored[0, :3] = (0xF001, 0x0FFF, 0x0800)
    change_all(series, BitsStored=12, HighBit=11, PixelRepresentation=1)
    change(paths(series)[0], PixelData=stored.tobytes())
    assert read_series(series).voxels[0, 0, :3].tolist() == [1.0, -1.0, -2048.0]


@pytest.mark.parametrize("syntax", [RLELossless, JPEG2000Lossless, JPEGLSLossless])
def test_compressed_pixels_are_read(series, original, syntax):
    for path in paths(series):
        image = pydicom.dcmread(path)
        image.compress(syntax, generate_instance_uid=False)
        image.save_as(path)
    assert np.array_equal(read_series(series).voxels, read_series(original).voxels)


@pytest.mark.parametrize("syntax", [ImplicitVRLittleEndian, ExplicitVRBigEndian])
def test_other_native_codings_are_read(series, original, syntax):
    for path in paths(series):
        image = pydicom.dcmread(path)
        pixels = image.pixel_array
        image.file_meta.TransferSyntaxUID = syntax
        image.PixelData = pixels.astype(">u2" if syntax == ExplicitVRBigEndian else "<u2").tobytes()
        pydicom.dcmwrite(path, image, **_coding(syntax))
    assert np.array_equal(read_series(series).voxels, read_series(original).voxels)


def _coding(syntax):
    return {
        "implicit_vr": syntax == ImplicitVRLittleEndian,
        "little_endian": syntax != ExplicitVRBigEndian,
        "force_encoding": True,
    }


def test_progress_rises_to_one_and_may_stop_the_reading(original):
    told = []
    read_series(original, progress=lambda share, doing: told.append(share))
    assert told == sorted(told) and told[-1] == pytest.approx(1.0)

    def stop(share, doing):
        raise Cancelled("Stopped.")

    with pytest.raises(Cancelled):
        read_series(original, progress=stop)


# --- what is noted


def test_a_gap_between_slices_is_noted(series):
    change_all(series, SliceThickness="7.5")
    back = read_series(series)
    assert back.slice_thickness_mm == 7.5
    assert len(back.notes) == 1 and "1.50 mm are not scanned" in back.notes[0]


def test_a_thickness_that_is_not_stated_is_noted(series):
    change_all(series, SliceThickness=None)
    back = read_series(series)
    assert back.slice_thickness_mm == pytest.approx(9.0)
    assert "No slice thickness" in back.notes[0]


def test_tiny_jitter_is_evened_out_and_noted(series, original):
    for path, shift_mm in zip(paths(series), [0.05, -0.04, 0.03] * 4, strict=True):
        move(path, along_mm=shift_mm, aside_mm=-shift_mm)
    back = read_series(series)
    assert np.abs(back.affine - read_series(original).affine).max() < 0.05
    assert "off an even stack" in back.notes[0]


@pytest.mark.parametrize(
    ("position", "words"),
    [("HFS", "supine"), ("FFS", "supine"), ("FFDR", "not scanned prone"), ("", "does not say")],
)
def test_a_patient_who_was_not_prone_is_noted(series, position, words):
    change_all(series, PatientPosition=position)
    back = read_series(series)
    assert not back.prone and words in back.notes[0]


def test_stray_files_are_skipped_and_noted(series):
    (series / "notes.txt").write_text("no image")
    (series / "empty").touch()
    assert read_series(series).notes == ("Files that are not DICOM were skipped: 2.",)


def test_other_dicom_objects_beside_the_series_are_skipped_and_noted(series):
    extra = shutil.copy(paths(series)[0], series / "extra.dcm")
    change(extra, SOPClassUID=SEGMENTATION, Modality="SEG", SOPInstanceUID="2.25.77")
    assert read_series(series).notes == ("DICOM files that are no MR images were skipped: 1.",)


def test_a_localiser_in_the_same_series_is_left_aside_and_noted(series, original):
    for number, path in enumerate(paths(series)[:3]):
        extra = shutil.copy(path, series / f"scout{number}.dcm")
        change(
            extra,
            SOPInstanceUID=f"2.25.{number + 1}",
            ImageOrientationPatient=[0, 1, 0, 0, 0, -1],
            FrameOfReferenceUID="2.25.9",
        )
    back = read_series(series)
    assert "3 images in another orientation" in back.notes[0]
    assert np.array_equal(back.voxels, read_series(original).voxels)


def test_a_file_that_is_there_twice_is_taken_once(series, original):
    shutil.copy(paths(series)[5], series / "copy.dcm")
    assert np.array_equal(read_series(series).voxels, read_series(original).voxels)


def test_a_missing_frame_of_reference_is_noted(series):
    change_all(series, FrameOfReferenceUID=None)
    back = read_series(series)
    assert back.frame_of_reference_uid == "" and "no frame of reference" in back.notes[0]
