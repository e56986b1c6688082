"""A scan as a block of voxels, and the frames that it is read in."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from crena.records.base import Between, Record
from crena.records.shapes import Point3

Coordinate = Annotated[float, Between(-3000, 3000, "mm")]
ClickedPoint = tuple[Coordinate, Coordinate, Coordinate]
"""A clicked place, LPS mm."""

Array = np.ndarray
"""A float64 array unless its comment says otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Volume(Record):
    """One MR series as a regular block of voxels.

    Axis order is (k, j, i): slice, row, column. The affine maps (i, j, k, 1), that is
    (column, row, slice), of a voxel's *centre* to the patient's LPS frame in mm.
    """

    voxels: Array  #: (n_slices, n_rows, n_columns) float32, arbitrary signal units
    affine: Array  #: (4, 4), (i, j, k, 1) -> (L, P, S, 1) in mm
    slice_thickness_mm: float
    frame_of_reference_uid: str
    series_uid: str
    prone: bool  #: the patient lay on the belly
    notes: tuple[str, ...] = ()  #: what the reader noticed, one sentence each


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinFrame(Record):
    """The skin frame, placed in the scanner's LPS frame.

    Origin on the midline skin over the tip of the coccyx; x to the patient's right, y
    cranial, z out of the body. Right-handed.
    """

    origin_lps_mm: Point3
    x_axis: Point3  #: unit vector in LPS
    y_axis: Point3
    z_axis: Point3


@dataclass(frozen=True, slots=True, kw_only=True)
class TractClicks(Record):
    """What the surgeon clicked along one tract, in the scanner's LPS frame."""

    name: str
    pit_lps_mm: ClickedPoint | None = None  #: none: not clicked yet
    blind_end_lps_mm: ClickedPoint | None = None
    way_points_lps_mm: tuple[ClickedPoint, ...] = ()  #: in order from the pit


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityClicks(Record):
    """A cavity, clicked near its middle, in the scanner's LPS frame."""

    name: str
    middle_lps_mm: ClickedPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanClicks(Record):
    """All that the surgeon confirmed on one series, in the scanner's LPS frame.

    The three landmarks lie on the skin of the midline and fix the skin frame; points of the
    bone in the midline fix the roll of the body. The presacral points lie on the back face
    of sacrum and coccyx, the gluteal points on the fascia of both gluteal muscles; together
    they are the floor of the excision.
    """

    series_uid: str = ""  #: of the series that was clicked; empty if it was not noted
    coccyx_tip_lps_mm: ClickedPoint | None = None  #: none: not clicked yet
    sacral_crest_lps_mm: ClickedPoint | None = None
    anal_verge_lps_mm: ClickedPoint | None = None
    midline_bone_lps_mm: tuple[ClickedPoint, ...] = ()
    tracts: tuple[TractClicks, ...] = ()
    cavities: tuple[CavityClicks, ...] = ()
    presacral_lps_mm: tuple[ClickedPoint, ...] = ()
    gluteal_lps_mm: tuple[ClickedPoint, ...] = ()
