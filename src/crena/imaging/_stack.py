"""Judge whether images form one regular stack, and put them in order.

The order and the place of slices come from Image Position and Image Orientation alone,
never from file names, instance numbers, slice location or a stated slice spacing.
"""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from crena.imaging._headers import SPACING_RANGE_MM, Array, Header
from crena.records.errors import ScanError

FEWEST_SLICES = 8
"""Fewest slices that are read as a series; a localiser has fewer (assumed)."""

EVEN_SHARE, EVEN_MM = 0.02, 0.01
"""Slices may lie off an even, straight stack by this share of their spacing plus this length.

Some scanners round positions: in one public series of 7 mm spacing they are off by 0.1 mm.
"""

_JITTER_NOTE_MM = 0.002
_SAME_PLACE_MM = 0.01
_SAME_DIRECTION = 2e-3
_SAME_SPACING_MM = 1e-4
_AGAIN = "Export the series again."


@dataclass(frozen=True, slots=True)
class Stack:
    """Slices in ascending order along the normal, with their geometry."""

    headers: tuple[Header, ...]
    affine: Array  #: (4, 4) (i, j, k, 1) -> LPS mm, right-handed
    thickness_mm: float
    notes: tuple[str, ...]


def stacked(headers: list[Header]) -> Stack:
    """Put the images of one series in order.

    Parameters
    ----------
    headers : list of Header
        All images of one series.

    Returns
    -------
    Stack
        Slices ascending along row x column, so that the affine is right-handed.

    Raises
    ------
    ScanError
        If they are not certainly one regular stack of one patient.
    """
    headers, notes = _main_orientation(_without_copies(headers))
    _check_alike(headers)
    if len(headers) < FEWEST_SLICES:
        raise ScanError(
            f"The series has {len(headers)} slices; at least {FEWEST_SLICES} are needed. "
            "Export the whole series."
        )
    orientation = _mean_orientation(headers)
    normal = np.cross(orientation[0], orientation[1])
    headers = sorted(headers, key=lambda header: float(header.position_mm @ normal))
    positions = np.array([header.position_mm for header in headers])
    step_mm = _step_mm(headers, positions @ normal)
    _check_straight(positions, normal, step_mm)
    affine = _affine(headers[0], orientation, positions, step_mm)
    thickness_mm, thickness_notes = _thickness(headers, step_mm)
    notes += thickness_notes + _jitter_notes(positions, affine)
    return Stack(tuple(headers), affine, thickness_mm, notes)


def _without_copies(headers: list[Header]) -> list[Header]:
    """Drop files that hold the very same bytes as another one."""
    kept: dict[str, Header] = {}
    for header in headers:
        first = kept.setdefault(header.sop_uid, header)
        if first is not header and first.path.read_bytes() != header.path.read_bytes():
            raise ScanError(
                f"{first.path.name} and {header.path.name} carry the same identifier and differ. "
                f"{_AGAIN}"
            )
    return list(kept.values())


def _main_orientation(headers: list[Header]) -> tuple[list[Header], tuple[str, ...]]:
    """Keep the images of one orientation; a few others are taken for a localiser."""
    groups: list[list[Header]] = []
    for header in headers:
        for group in groups:
            if np.allclose(group[0].orientation, header.orientation, atol=_SAME_DIRECTION):
                group.append(header)
                break
        else:
            groups.append([header])
    groups.sort(key=len, reverse=True)
    aside = sum(len(group) for group in groups[1:])
    if len(groups) > 1 and len(groups[1]) >= FEWEST_SLICES:
        raise ScanError(
            f"The series holds {len(groups)} stacks in different orientations. "
            "Export the one to be read by itself."
        )
    if not aside:
        return groups[0], ()
    return groups[0], (f"{_images(aside)} in another orientation (a localiser) left aside.",)


def _check_alike(headers: list[Header]) -> None:
    first = headers[0]
    if len({header.patient for header in headers}) > 1:
        raise ScanError(f"The series names several patients. {_AGAIN}")
    if len({header.frame_uid for header in headers}) > 1:
        raise ScanError(
            "The slices belong to different frames of reference, so their places cannot be "
            "compared. Export a series that was scanned in one go."
        )
    for header in headers:
        if header.shape != first.shape:
            raise ScanError(
                f"{header.path.name} has {header.shape[0]} x {header.shape[1]} pixels and "
                f"{first.path.name} {first.shape[0]} x {first.shape[1]}. {_AGAIN}"
            )
        if not np.allclose(header.spacing_mm, first.spacing_mm, rtol=0, atol=_SAME_SPACING_MM):
            raise ScanError(
                f"{header.path.name} and {first.path.name} have different pixel spacings. {_AGAIN}"
            )


def _mean_orientation(headers: list[Header]) -> Array:
    """Return orthonormal axes; images of one stack differ by rounding only."""
    along_row, along_column = np.mean([header.orientation for header in headers], axis=0)
    along_row = along_row / np.linalg.norm(along_row)
    along_column = along_column - along_row * (along_column @ along_row)
    return np.stack([along_row, along_column / np.linalg.norm(along_column)])


def _step_mm(headers: list[Header], heights_mm: Array) -> float:
    """Return the distance between slices, or refuse an uneven stack."""
    steps = np.diff(heights_mm)
    _check_no_twins(headers, steps)
    step = float(np.median(steps))
    mean = float(np.mean(steps))
    allowed_mm = EVEN_SHARE * step + EVEN_MM
    if np.any(np.abs(steps - step) > allowed_mm):
        _refuse_uneven(headers, steps, step)
    if np.abs(_off_even(heights_mm, mean)).max() > allowed_mm:
        raise ScanError(
            f"The slices drift from an even spacing, {steps.min():.2f} to {steps.max():.2f} mm. "
            "Export the series as it was scanned."
        )
    low, high = SPACING_RANGE_MM
    if not low <= mean <= high:
        raise ScanError(
            f"The slices lie {mean:g} mm apart; {low:g} to {high:g} mm can be right. {_AGAIN}"
        )
    return mean


def _off_even(heights_mm: Array, step_mm: float) -> Array:
    """Return how far slices lie from an even stack about their own middle."""
    off = heights_mm - step_mm * np.arange(len(heights_mm))
    return np.asarray(off - off.mean())


def _check_no_twins(headers: list[Header], steps_mm: Array) -> None:
    twins = np.flatnonzero(steps_mm < _SAME_PLACE_MM)
    if not len(twins):
        return
    one, two = headers[twins[0]], headers[twins[0] + 1]
    if one.echo != two.echo:
        raise ScanError(
            f"The series holds several images at one place ({one.path.name}, {two.path.name}), "
            "as with several echoes or time points. Export one of them."
        )
    raise ScanError(
        f"{one.path.name} and {two.path.name} lie at the same place. Remove the one that does not "
        "belong to the series."
    )


def _refuse_uneven(headers: list[Header], steps_mm: Array, step_mm: float) -> None:
    widest = int(np.argmax(steps_mm))
    times = steps_mm / step_mm
    whole = np.rint(times)
    near_whole = np.abs(times - whole) * step_mm <= (EVEN_SHARE * step_mm + EVEN_MM) * whole
    if near_whole.all() and whole.min() >= 1:
        missing = int((whole - 1).sum())
        raise ScanError(
            f"{missing} slice{'s are' if missing > 1 else ' is'} missing, the first gap after "
            f"{headers[int(np.argmax(whole > 1))].path.name}. Export the whole series."
        )
    raise ScanError(
        f"The slices are unevenly spaced, {steps_mm.min():.2f} to {steps_mm.max():.2f} mm, widest "
        f"after {headers[widest].path.name}. Export the series as it was scanned."
    )


def _check_straight(positions_mm: Array, normal: Array, step_mm: float) -> None:
    aside = positions_mm - np.outer(positions_mm @ normal, normal)
    off = float(np.linalg.norm(aside - aside[0], axis=1).max())
    if off > EVEN_SHARE * step_mm + EVEN_MM:
        raise ScanError(
            f"The stack is sheared: slices are shifted sideways by up to {off:.2f} mm. "
            "Export the series as it was scanned, not reformatted."
        )


def _affine(first: Header, orientation: Array, positions_mm: Array, step_mm: float) -> Array:
    """Return the affine whose slices lie evenly about the mean of all stated positions."""
    normal = np.cross(orientation[0], orientation[1])
    affine = np.eye(4)
    affine[:3, 0] = orientation[0] * first.spacing_mm[1]
    affine[:3, 1] = orientation[1] * first.spacing_mm[0]
    affine[:3, 2] = normal * step_mm
    middle = 0.5 * (len(positions_mm) - 1)
    affine[:3, 3] = positions_mm.mean(axis=0) - middle * affine[:3, 2]
    return affine


def _thickness(headers: list[Header], step_mm: float) -> tuple[float, tuple[str, ...]]:
    stated = Counter(header.thickness_mm for header in headers)
    if len(stated) > 1:
        raise ScanError(f"The slices state different thicknesses. {_AGAIN}")
    thickness_mm = next(iter(stated))
    if thickness_mm is None:
        return step_mm, ("No slice thickness is stated; slices are taken to touch each other.",)
    gap = step_mm - thickness_mm
    if gap > EVEN_SHARE * step_mm + EVEN_MM:
        return thickness_mm, (
            f"Between slices {gap:.2f} mm are not scanned: they are {thickness_mm:g} mm thick and "
            f"lie {step_mm:.2f} mm apart. A thin branch can hide there.",
        )
    return thickness_mm, ()


def _jitter_notes(positions_mm: Array, affine: Array) -> tuple[str, ...]:
    even = affine[:3, 3] + np.outer(np.arange(len(positions_mm)), affine[:3, 2])
    off = float(np.linalg.norm(positions_mm - even, axis=1).max())
    if off <= _JITTER_NOTE_MM:
        return ()
    return (f"Stated slice places are off an even stack by up to {off:.3f} mm, which is allowed.",)


def _images(count: int) -> str:
    return "1 image" if count == 1 else f"{count} images"
