"""A synthetic MR series of the sacrococcygeal region whose truth is known.

It is invented from end to end: nobody was scanned. The look is that of a T2-weighted
series with suppressed fat: fluid bright, fat and muscle grey, cortical bone and air dark.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

import numpy as np

from crena.imaging._anatomy import (
    ANAL_VERGE_Y_MM,
    SACRAL_CREST_Y_MM,
    Array,
    bone_distance_mm,
    muscle_distance_mm,
    skin_height_mm,
    skin_slope,
)
from crena.imaging._disease import GAP_MM, Disease, scenario
from crena.imaging._render import FLUID_SIGNAL, Grid, Inks, Progress, rendered, scene
from crena.imaging._uids import uid
from crena.records.base import Between, Record
from crena.records.scans import Volume
from crena.records.shapes import Point3

BODY_TURN_DEG = 2.0
"""How far the patient is turned about the scanner's long axis (assumed)."""

BODY_NOD_DEG = -3.0
"""How far the pelvis is tipped about the scanner's transverse axis (assumed)."""

BODY_ORIGIN_LPS_MM = (3.5, 61.0, -118.0)
"""Where the midline skin over the coccyx tip lies in the scanner (assumed)."""

_PRESACRAL_XY_MM = (
    *((0.0, y) for y in (4.0, 11.0, 18.0, 25.0, 32.0, 39.0, 46.0, 55.0)),
    *((x, y) for x in (-6.0, 6.0) for y in (16.0, 40.0)),
)
_GLUTEAL_XY_MM = tuple(
    (x, y) for x in (-52.0, -38.0, -26.0, 26.0, 38.0, 52.0) for y in (2.0, 26.0, 50.0)
)
_BISECTIONS = 50
_PROJECTIONS = 300
_SHARPEST_PER_MM = 0.25
"""No less than the skin's sharpest curvature; it keeps the projection from overshooting."""


class TractLook(StrEnum):
    """How the tracts look on the series."""

    BRIGHT = "bright"
    LOW_CONTRAST = "low contrast"
    DARK_LUMEN = "dark lumen, bright wall"
    COLLAPSED = "collapsed over 6 mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhantomRecipe(Record):
    """How the phantom is scanned. The disease itself is always the same.

    The slices are axial and a few degrees oblique: the finer axes lie across the cleft and
    into the depth, where tracts and skin change fastest.
    """

    seed: int = 1
    rows: Annotated[int, Between(8, 2048)] = 256
    columns: Annotated[int, Between(8, 2048)] = 256
    slices: Annotated[int, Between(1, 2000)] = 40
    row_spacing_mm: Annotated[float, Between(0.1, 10, "mm")] = 0.625  #: between rows
    column_spacing_mm: Annotated[float, Between(0.1, 10, "mm")] = 0.625  #: between columns
    slice_spacing_mm: Annotated[float, Between(0.1, 20, "mm")] = 3.0
    slice_thickness_mm: Annotated[float, Between(0.1, 20, "mm")] = 3.0
    tilt_deg: Annotated[float, Between(-45, 45, "degrees")] = 7.0  #: about the image's row axis
    roll_deg: Annotated[float, Between(-45, 45, "degrees")] = 3.0  #: about the slice normal
    centre_mm: Point3 = (0.0, 8.0, -34.0)  #: middle of the block, in the body frame
    look: TractLook = TractLook.BRIGHT
    noise_ratio: Annotated[float, Between(0, 1)] = 0.036  #: of the signal of fluid
    prone: bool = True  #: only said in the series; the skin is always that of a prone patient


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueTract(Record):
    """A tract as it truly is; its last point lies inside the cavity, if it ends in one."""

    name: str
    centre_lps_mm: Array  #: (n, 3) from the pit to the blind end, about every 0.25 mm
    outer_radius_mm: Array  #: (n,) lumen and wall
    lumen_radius_mm: Array  #: (n,) zero where the tract is collapsed


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueCavity(Record):
    """The cavity as it truly is, out to the outer face of its wall."""

    name: str
    centre_lps_mm: Point3
    half_axes_lps_mm: tuple[Point3, Point3, Point3]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueSpot(Record):
    """A bright ball that is joined to nothing."""

    centre_lps_mm: Point3
    radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Phantom(Record):
    """The series and the truth behind it, all in the scanner's LPS frame."""

    recipe: PhantomRecipe
    volume: Volume
    coccyx_tip_lps_mm: Point3  #: on the midline skin, as are the next two
    sacral_crest_lps_mm: Point3
    anal_verge_lps_mm: Point3
    pits_lps_mm: tuple[Point3, ...]  #: caudal first; the first leads nowhere
    tracts: tuple[TrueTract, ...]  #: T1 from the second pit, T2 from the third
    cavity: TrueCavity
    spot: TrueSpot
    presacral_lps_mm: tuple[Point3, ...]  #: on the back face of sacrum and coccyx
    gluteal_lps_mm: tuple[Point3, ...]  #: on the surface of both gluteal muscles


def render(recipe: PhantomRecipe, *, progress: Progress | None = None) -> Phantom:
    """Render the phantom.

    Parameters
    ----------
    recipe : PhantomRecipe
        How it is scanned.
    progress : callable or None
        Called with the share done, 0 to 1, and what is being done.

    Returns
    -------
    Phantom
        The series and its truth. The same recipe gives the same voxels.

    Examples
    --------
    >>> coarse = PhantomRecipe(
    ...     rows=20, columns=24, slices=8, row_spacing_mm=7, column_spacing_mm=6,
    ...     slice_spacing_mm=14, slice_thickness_mm=14,
    ... )
    >>> phantom = render(coarse)
    >>> phantom.volume.voxels.shape, len(phantom.pits_lps_mm)
    ((8, 20, 24), 3)
    """
    disease = scenario(GAP_MM if recipe.look is TractLook.COLLAPSED else None)
    affine = _affine(recipe)
    voxels = rendered(
        scene(disease, _inks(recipe.look)),
        _grid(recipe, affine),
        noise_ratio=recipe.noise_ratio,
        seed=recipe.seed,
        progress=progress,
    )
    return _with_truth(recipe, disease, _volume(recipe, voxels, affine))


def body_to_lps_mm(points_mm: Array) -> Array:
    """Map points of the body frame to the scanner's LPS frame.

    Parameters
    ----------
    points_mm : (n, 3) or (3,) float
        x to the patient's right, y cranial, z out of the body.

    Returns
    -------
    same shape
        L, P, S in mm.

    Examples
    --------
    >>> body_to_lps_mm(np.zeros(3)).tolist()
    [3.5, 61.0, -118.0]
    """
    turned = np.asarray(points_mm, dtype=float) @ _body_axes()
    lps_mm: Array = turned + np.array(BODY_ORIGIN_LPS_MM)
    return lps_mm


def lps_to_body_mm(points_lps_mm: Array) -> Array:
    """Map points of the scanner's LPS frame to the body frame.

    Parameters
    ----------
    points_lps_mm : (n, 3) or (3,) float
        L, P, S in mm.

    Returns
    -------
    same shape
        x to the patient's right, y cranial, z out of the body.

    Examples
    --------
    >>> point = np.array([1.0, 2.0, 3.0])
    >>> np.allclose(lps_to_body_mm(body_to_lps_mm(point)), point)
    True
    """
    offset = np.asarray(points_lps_mm, dtype=float) - np.array(BODY_ORIGIN_LPS_MM)
    body_mm: Array = offset @ _body_axes().T
    return body_mm


def skin_points_lps_mm(across_mm: Array, cranial_mm: Array) -> Array:
    """Return points of the true skin.

    Parameters
    ----------
    across_mm, cranial_mm : (n,) float
        x and y in the body frame.

    Returns
    -------
    (n, 3) float
        The skin over each (x, y), in LPS.
    """
    x, y = np.asarray(across_mm, dtype=float), np.asarray(cranial_mm, dtype=float)
    return body_to_lps_mm(np.stack([x, y, skin_height_mm(x, y)], axis=-1))


def skin_distance_mm(points_lps_mm: Array) -> Array:
    """Return the distance of points from the true skin, positive outside the body.

    Parameters
    ----------
    points_lps_mm : (n, 3) float
        Points in LPS.

    Returns
    -------
    (n,) float
        Distance to the foot of the perpendicular on the skin.

    Notes
    -----
    The foot is sought downhill from three places on the skin, the point's own, one half way
    to the midline, and the midline; the nearest of the three is kept.
    """
    at = lps_to_body_mm(points_lps_mm)
    outside = at[:, 2] > skin_height_mm(at[:, 0], at[:, 1])
    reached = [_foot_distance(at, share * at[:, 0]) for share in (1.0, 0.5, 0.0)]
    distance: Array = np.min(reached, axis=0) * np.where(outside, 1.0, -1.0)
    return distance


def _foot_distance(at: Array, foot_x: Array) -> Array:
    foot_y = at[:, 1]
    for _ in range(_PROJECTIONS):
        rise = at[:, 2] - skin_height_mm(foot_x, foot_y)
        along_x, along_y = skin_slope(foot_x, foot_y)
        push = 1.0 + along_x**2 + along_y**2 + _SHARPEST_PER_MM * np.abs(rise)
        step_x = (at[:, 0] - foot_x + rise * along_x) / push
        step_y = (at[:, 1] - foot_y + rise * along_y) / push
        foot_x, foot_y = foot_x + step_x, foot_y + step_y
    foot = np.stack([foot_x, foot_y, skin_height_mm(foot_x, foot_y)], axis=1)
    return np.asarray(np.linalg.norm(at - foot, axis=1))


def _body_axes() -> Array:
    """Return the body frame's axes in LPS, as rows."""
    upright = np.array([(-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)])
    return upright @ _about(2, BODY_TURN_DEG).T @ _about(0, BODY_NOD_DEG).T


def _about(axis: int, angle_deg: float) -> Array:
    cosine, sine = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    turn = np.eye(3)
    first, second = [(1, 2), (2, 0), (0, 1)][axis]
    turn[first, first] = turn[second, second] = cosine
    turn[first, second], turn[second, first] = -sine, sine
    return turn


def _affine(recipe: PhantomRecipe) -> Array:
    turn = _about(0, recipe.tilt_deg) @ _about(2, recipe.roll_deg)
    spacing = (recipe.column_spacing_mm, recipe.row_spacing_mm, recipe.slice_spacing_mm)
    middle = 0.5 * (np.array([recipe.columns, recipe.rows, recipe.slices]) - 1.0)
    affine = np.eye(4)
    affine[:3, :3] = turn * np.array(spacing)
    affine[:3, 3] = body_to_lps_mm(np.array(recipe.centre_mm)) - affine[:3, :3] @ middle
    return affine


def _grid(recipe: PhantomRecipe, affine: Array) -> Grid:
    return Grid(
        shape=(recipe.slices, recipe.rows, recipe.columns),
        origin_mm=lps_to_body_mm(affine[:3, 3]),
        steps_mm=affine[:3, :3].T @ _body_axes().T,
        thickness_mm=recipe.slice_thickness_mm,
    )


def _inks(look: TractLook) -> Inks:
    if look is TractLook.LOW_CONTRAST:
        return Inks(lumen=420.0, wall=320.0, halo=100.0)
    if look is TractLook.DARK_LUMEN:
        return Inks(lumen=60.0, wall=470.0, halo=120.0)
    return Inks(lumen=FLUID_SIGNAL, wall=430.0, halo=150.0)


def _volume(recipe: PhantomRecipe, voxels: Array, affine: Array) -> Volume:
    return Volume(
        voxels=voxels,
        affine=affine,
        slice_thickness_mm=recipe.slice_thickness_mm,
        frame_of_reference_uid=uid("phantom frame", BODY_ORIGIN_LPS_MM),
        series_uid=uid("phantom series", recipe),
        prone=recipe.prone,
    )


def _with_truth(recipe: PhantomRecipe, disease: Disease, volume: Volume) -> Phantom:
    axes_mm = (disease.cavity_axes * disease.cavity_half_mm[:, None]) @ _body_axes()
    coccyx, crest, verge = skin_points_lps_mm(
        np.zeros(3), np.array([0.0, SACRAL_CREST_Y_MM, ANAL_VERGE_Y_MM])
    )
    return Phantom(
        recipe=recipe,
        volume=volume,
        coccyx_tip_lps_mm=_point(coccyx),
        sacral_crest_lps_mm=_point(crest),
        anal_verge_lps_mm=_point(verge),
        pits_lps_mm=_points(body_to_lps_mm(disease.pits_mm)),
        tracts=_true_tracts(disease),
        cavity=TrueCavity(
            name="C1",
            centre_lps_mm=_point(body_to_lps_mm(disease.cavity_centre_mm)),
            half_axes_lps_mm=(_point(axes_mm[0]), _point(axes_mm[1]), _point(axes_mm[2])),
        ),
        spot=TrueSpot(
            centre_lps_mm=_point(body_to_lps_mm(disease.spot_centre_mm)),
            radius_mm=disease.spot_radius_mm,
        ),
        presacral_lps_mm=_points(_face(bone_distance_mm, _PRESACRAL_XY_MM)),
        gluteal_lps_mm=_points(_face(muscle_distance_mm, _GLUTEAL_XY_MM)),
    )


def _true_tracts(disease: Disease) -> tuple[TrueTract, ...]:
    return tuple(
        TrueTract(
            name=tube.name,
            centre_lps_mm=body_to_lps_mm(tube.centre_mm),
            outer_radius_mm=tube.outer_mm,
            lumen_radius_mm=np.maximum(tube.lumen_mm, 0.0),
        )
        for tube in disease.tubes
        if tube.name.startswith("T")
    )


def _face(
    distance: Callable[[Array, Array, Array], Array], at_mm: tuple[tuple[float, float], ...]
) -> Array:
    """Return where lines into the depth first meet a surface, by bisection, in LPS."""
    x, y = np.array(at_mm).T
    above = skin_height_mm(x, y)
    below = above - 36.0
    for _ in range(_BISECTIONS):
        middle = 0.5 * (above + below)
        inside = distance(x, y, middle) < 0.0
        above, below = np.where(inside, above, middle), np.where(inside, middle, below)
    return body_to_lps_mm(np.stack([x, y, above], axis=1))


def _point(lps_mm: Array) -> Point3:
    first, second, third = (float(value) for value in lps_mm)
    return (first, second, third)


def _points(lps_mm: Array) -> tuple[Point3, ...]:
    return tuple(_point(row) for row in lps_mm)
