"""The tract map on the slices of its scan: where each slice cuts what was mapped."""

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.geometry.frames import to_lps_mm
from crena.geometry.slicing import cut_balls, cut_ellipsoid, to_picture_mm
from crena.records import (
    Cavity,
    Origin,
    ScanMap,
    ScanPicture,
    ShownKind,
    SliceOutline,
    SliceView,
    Spot,
    Tract,
)
from crena.records.shapes import Polyline2

Floats = NDArray[np.float64]

Cuts = Iterator[tuple[int, Polyline2]]
"""The number of a slice, and what it cuts out."""

Place = Callable[[ArrayLike], Floats]
"""Carries points from the skin frame into a view's picture, mm."""


def scan_outlines(found: ScanMap, picture: ScanPicture) -> tuple[SliceOutline, ...]:
    """Return the outlines of tracts, cavities, spots and probed lines on every slice.

    Parameters
    ----------
    found : ScanMap
        The map, and where its frame lies in the scanner.
    picture : ScanPicture
        The series as it is shown.
    """
    return tuple(outline for view in picture.views for outline in _of_view(found, picture, view))


def _of_view(found: ScanMap, picture: ScanPicture, view: SliceView) -> Iterator[SliceOutline]:
    def place(points: ArrayLike) -> Floats:
        return to_picture_mm(view, picture.affine_mm, to_lps_mm(found.frame, points))

    tract_map = found.tract_map
    scanned = [t for t in tract_map.tracts if t.origin is Origin.SCAN]
    shown: list[tuple[ShownKind, str, Cuts]] = [
        *((ShownKind.TRACT, t.name, _tract(view, t, place(t.centre_mm))) for t in scanned),
        *((ShownKind.PROBE, t.name, _tract(view, t, place(t.centre_mm))) for t in found.probed),
        *((ShownKind.CAVITY, c.name, _cavity(view, c, place)) for c in tract_map.cavities),
        *((ShownKind.SPOT, s.name, _spot(view, s, place([s.centre_mm]))) for s in tract_map.spots),
    ]
    for kind, name, cuts in shown:
        for number, outline in cuts:
            yield SliceOutline(
                view=view.name, slice_number=number, kind=kind, name=name, outline_mm=outline
            )


def _tract(view: SliceView, tract: Tract, centres: Floats) -> Cuts:
    radii = np.array(tract.radius_mm)
    for number in _numbers(view, centres[:, 2] - radii, centres[:, 2] + radii):
        for outline in cut_balls(centres, radii, number * view.step_mm):
            yield number, _rounded(outline)


def _spot(view: SliceView, spot: Spot, centre: Floats) -> Cuts:
    radius = np.array([spot.radius_mm])
    for number in _numbers(view, centre[:, 2] - radius, centre[:, 2] + radius):
        for outline in cut_balls(centre, radius, number * view.step_mm):
            yield number, _rounded(outline)


def _cavity(view: SliceView, cavity: Cavity, place: Place) -> Cuts:
    ends = place([cavity.centre_mm, *np.add(cavity.centre_mm, cavity.half_axes_mm)])
    centre, half_axes = ends[0], ends[1:] - ends[0]
    reach = float(np.linalg.norm(half_axes[:, 2]))
    for number in _numbers(view, centre[2:] - reach, centre[2:] + reach):
        outline = cut_ellipsoid(centre, half_axes, number * view.step_mm)
        if outline:
            yield number, _rounded(outline)


def _numbers(view: SliceView, low_mm: Floats, high_mm: Floats) -> range:
    """Return which slices lie between two heights."""
    first = int(np.ceil(low_mm.min() / view.step_mm))
    last = int(np.floor(high_mm.max() / view.step_mm))
    return range(max(first, 0), min(last, view.slices - 1) + 1)


def _rounded(outline: Polyline2) -> Polyline2:
    return tuple((round(x, 2), round(y, 2)) for x, y in outline)
