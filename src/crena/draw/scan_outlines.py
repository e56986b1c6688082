"""The disease, and what is cut out, on the slices of the scan."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.geometry.frames import to_lps_mm
from crena.geometry.slicing import (
    Solid,
    cut_balls,
    cut_ellipsoid,
    cut_sheet,
    cut_solid,
    ellipsoid_within,
    to_picture_mm,
)
from crena.geometry.unrolling import skin_map
from crena.records import (
    Cavity,
    Origin,
    Record,
    ScanMap,
    ScanPicture,
    ShownKind,
    SkinFrame,
    SliceOutline,
    SliceView,
    Spot,
    Surface,
    Tract,
    TractMap,
)
from crena.records.shapes import Polyline2

Floats = NDArray[np.float64]

Cuts = Iterator[tuple[int, Polyline2]]
"""The number of a slice, and what it cuts out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pane(Record):
    """Slices of one view that are drawn on, and the frame of what is drawn."""

    picture: ScanPicture
    frame: SkinFrame
    view: SliceView
    first: int  #: slice
    last: int

    def place(self, points: ArrayLike) -> Floats:
        """Carry points (n, 3) from the skin frame into the view's picture, mm."""
        return to_picture_mm(self.view, self.picture.affine_mm, to_lps_mm(self.frame, points))

    def slices(self, low_mm: float, high_mm: float) -> Iterator[tuple[int, float]]:
        """Give number and height of each slice between two heights."""
        first = max(self.first, int(np.ceil(low_mm / self.view.step_mm)))
        last = min(self.last, int(np.floor(high_mm / self.view.step_mm)))
        return ((number, number * self.view.step_mm) for number in range(first, last + 1))


def scan_outlines(found: ScanMap, picture: ScanPicture) -> tuple[SliceOutline, ...]:
    """Return the outlines of tracts, cavities, spots and probed lines on every slice.

    Parameters
    ----------
    found : ScanMap
        The map, and where its frame lies in the scanner.
    picture : ScanPicture
        The series as it is shown.
    """
    panes = (
        Pane(picture=picture, frame=found.frame, view=view, first=0, last=view.slices - 1)
        for view in picture.views
    )
    return tuple(outline for pane in panes for outline in _mapped(pane, found))


def cut_outlines(
    pane: Pane, cut: Solid, tract_map: TractMap, margin_mm: float
) -> tuple[SliceOutline, ...]:
    """Return the outlines of an excision, of the disease in it, its margin and the fascia.

    Parameters
    ----------
    pane : Pane
        What is drawn on.
    cut : Solid
        What is taken out, in the skin frame.
    tract_map : TractMap
        The disease that it was planned for, and the fascia.
    margin_mm : float
        The distance asked for.
    """
    parts: tuple[Tract | Cavity, ...] = (*tract_map.tracts, *tract_map.cavities)
    return (
        *(one for part in parts for one in _around(pane, part, margin_mm)),
        *(one for part in parts for one in _part(pane, part)),
        *(one for spot in tract_map.spots for one in _spot(pane, spot)),
        *_named(pane, ShownKind.FLOOR, "", _sheet(pane, tract_map.floor)),
        *_named(pane, ShownKind.CUT, "", _solid(pane, cut)),
    )


def _mapped(pane: Pane, found: ScanMap) -> Iterator[SliceOutline]:
    tract_map = found.tract_map
    for tract in tract_map.tracts:
        if tract.origin is Origin.SCAN:
            yield from _part(pane, tract)
    for tract in found.probed:
        yield from _named(pane, ShownKind.PROBE, tract.name, _tract(pane, tract, 0.0))
    for cavity in tract_map.cavities:
        yield from _part(pane, cavity)
    for spot in tract_map.spots:
        yield from _spot(pane, spot)


def _part(pane: Pane, part: Tract | Cavity) -> Iterator[SliceOutline]:
    if isinstance(part, Cavity):
        return _named(pane, ShownKind.CAVITY, part.name, _cavity(pane, part))
    kind = ShownKind.PROBE if part.origin is Origin.PROBING else ShownKind.TRACT
    return _named(pane, kind, part.name, _tract(pane, part, 0.0))


def _around(pane: Pane, part: Tract | Cavity, margin_mm: float) -> Iterator[SliceOutline]:
    """Give the outlines of all that lies within a distance of a part."""
    if isinstance(part, Cavity):
        near = ellipsoid_within(np.array(part.centre_mm), np.array(part.half_axes_mm), margin_mm)
        return _named(pane, ShownKind.MARGIN, part.name, _solid(pane, near))
    return _named(pane, ShownKind.MARGIN, part.name, _tract(pane, part, margin_mm))


def _spot(pane: Pane, spot: Spot) -> Iterator[SliceOutline]:
    balls = _balls(pane, [spot.centre_mm], np.array([spot.radius_mm]))
    return _named(pane, ShownKind.SPOT, spot.name, balls)


def _named(pane: Pane, kind: ShownKind, name: str, cuts: Cuts) -> Iterator[SliceOutline]:
    for number, line in cuts:
        yield SliceOutline(
            view=pane.view.name,
            slice_number=number,
            kind=kind,
            name=name,
            outline_mm=tuple((round(x, 2), round(y, 2)) for x, y in line),
        )


def _tract(pane: Pane, tract: Tract, grown_mm: float) -> Cuts:
    return _balls(pane, tract.centre_mm, np.array(tract.radius_mm) + grown_mm)


def _balls(pane: Pane, centres_mm: ArrayLike, radii_mm: Floats) -> Cuts:
    centres = pane.place(centres_mm)
    low, high = (centres[:, 2] - radii_mm).min(), (centres[:, 2] + radii_mm).max()
    for number, height in pane.slices(low, high):
        for outline in cut_balls(centres, radii_mm, height):
            yield number, outline


def _cavity(pane: Pane, cavity: Cavity) -> Cuts:
    ends = pane.place([cavity.centre_mm, *np.add(cavity.centre_mm, cavity.half_axes_mm)])
    centre, half_axes = ends[0], ends[1:] - ends[0]
    reach = float(np.linalg.norm(half_axes[:, 2]))
    for number, height in pane.slices(centre[2] - reach, centre[2] + reach):
        outline = cut_ellipsoid(centre, half_axes, height)
        if outline:
            yield number, outline


def _sheet(pane: Pane, surface: Surface) -> Cuts:
    laid = skin_map(surface)
    x, y = np.meshgrid(laid.x_mm, laid.y_mm)
    grid = np.stack([x, y, laid.z_mm], axis=-1)
    placed = pane.place(grid.reshape(-1, 3)).reshape(grid.shape)
    for number, height in pane.slices(placed[..., 2].min(), placed[..., 2].max()):
        for line in cut_sheet(placed, height):
            yield number, line


def _solid(pane: Pane, cut: Solid) -> Cuts:
    placed = Solid(points=pane.place(cut.points), triangles=cut.triangles)
    for number, height in pane.slices(placed.points[:, 2].min(), placed.points[:, 2].max()):
        for outline in cut_solid(placed, height):
            yield number, outline
