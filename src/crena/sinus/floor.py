"""The floor of the excision: the fascia over sacrum and gluteal muscles, as a height map."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import RBFInterpolator

from crena.records.errors import InputError
from crena.records.sides import Origin
from crena.records.tracts import Surface

Array = NDArray[np.float64]

LEAST_COVER_MM = 5.0
"""The floor lies at least this far below the skin; assumed: skin and some fat."""

LEAST_POINTS = 3
"""Fewest clicks on the sacrum, and fewest on both gluteal fasciae together."""

CLICK_SD_MM = 1.0
"""One standard deviation of a clicked point's height; assumed."""

ENTERED_SD_MM = 3.0
"""One standard deviation of the height of an entered floor; assumed."""

DEPTH_RANGE_MM = (5.0, 150.0)
"""Depths of the fascia below the skin that are taken; assumed."""

STIFFNESS = 0.5
"""Smoothing of the thin plate, against clicks in units of their distance apart; assumed."""


def floor_surface(skin: Surface, presacral_mm: ArrayLike, gluteal_mm: ArrayLike) -> Surface:
    """Lay a thin plate through the clicked points of the fascia.

    Parameters
    ----------
    skin : Surface
        The skin; the floor is given on its grid.
    presacral_mm : (n, 3) float
        Points on the back face of sacrum and coccyx, in the skin frame, n >= 3.
    gluteal_mm : (m, 3) float
        Points on the fascia of both gluteal muscles, in the skin frame, m >= 3.

    Returns
    -------
    Surface
        The floor, never nearer to the skin than 5 mm. Its sd is that of a height between the
        clicks: the error with which each click is foretold by the others, and a click's own.

    Raises
    ------
    InputError
        If there are too few points, they lie on one line, or one lies outside the body.

    Notes
    -----
    Beyond the outermost clicks the plate runs on smoothly; it is not known there. The
    leave-one-out errors come from the plate's own weights: the plate without point i misses it
    by w_i / (A^-1)_ii, A being the matrix of the plate's equations (Wahba, Spline models for
    observational data, SIAM 1990, section 4.2).
    """
    points = np.concatenate(
        [_checked(presacral_mm, "sacrum and coccyx"), _checked(gluteal_mm, "the gluteal fascia")]
    )
    skin_z = np.array(skin.z_mm)
    grid = np.stack(np.meshgrid(skin.x_mm, skin.y_mm), axis=-1).reshape(-1, 2)
    _refuse_line(points[:, :2])
    scale = _scale_mm(points[:, :2])
    plate = RBFInterpolator(points[:, :2] / scale, points[:, 2], smoothing=STIFFNESS)
    floor_z = plate(grid / scale).reshape(skin_z.shape)
    missed = _left_out_errors_mm(points, scale)
    sd = float(np.hypot(np.sqrt(np.mean(missed**2)), CLICK_SD_MM))
    return _surface(skin, np.minimum(floor_z, skin_z - LEAST_COVER_MM), (Origin.SCAN, sd))


def entered_floor(
    skin: Surface,
    *,
    presacral_depth_mm: float,
    gluteal_depth_mm: float,
    transition_half_width_mm: float,
) -> Surface:
    """Lay the floor at entered depths below the skin.

    Parameters
    ----------
    skin : Surface
        The skin; the floor is given on its grid.
    presacral_depth_mm : float
        Depth of the presacral fascia under the midline.
    gluteal_depth_mm : float
        Depth of the gluteal fascia under the skin beside it.
    transition_half_width_mm : float
        Distance from the midline within which the one becomes the other.

    Returns
    -------
    Surface
        The floor. The depth changes as a cubic step that is flat at both of its ends.

    Raises
    ------
    InputError
        If a depth lies outside 5 to 150 mm, or the transition is not positive.

    Examples
    --------
    >>> skin = Surface(
    ...     x_mm=(-20.0, 0.0, 10.0), y_mm=(0.0, 9.0), z_mm=((1.0,) * 3,) * 2,
    ...     origin=Origin.ENTERED, sd_mm=0.5,
    ... )
    >>> floor = entered_floor(
    ...     skin, presacral_depth_mm=20, gluteal_depth_mm=40, transition_half_width_mm=20
    ... )
    >>> floor.z_mm[0]
    (-39.0, -19.0, -29.0)
    """
    for what, depth in (("presacral", presacral_depth_mm), ("gluteal", gluteal_depth_mm)):
        if not DEPTH_RANGE_MM[0] <= depth <= DEPTH_RANGE_MM[1]:
            raise InputError(
                f"The {what} fascia is entered at {depth:g} mm below the skin. "
                f"Enter a depth from {DEPTH_RANGE_MM[0]:g} to {DEPTH_RANGE_MM[1]:g} mm."
            )
    if not transition_half_width_mm > 0.0:
        raise InputError(
            f"The transition of the floor is {transition_half_width_mm:g} mm wide. "
            "Enter a width above 0 mm."
        )
    part = np.clip(np.abs(np.array(skin.x_mm)) / transition_half_width_mm, 0.0, 1.0)
    blend = part**2 * (3.0 - 2.0 * part)
    depth_mm = presacral_depth_mm + (gluteal_depth_mm - presacral_depth_mm) * blend
    return _surface(skin, np.array(skin.z_mm) - depth_mm, (Origin.ENTERED, ENTERED_SD_MM))


def _checked(points_mm: ArrayLike, where: str) -> Array:
    points = np.asarray(points_mm, dtype=float).reshape(-1, 3)
    if len(points) < LEAST_POINTS:
        raise InputError(
            f"Only {len(points)} points are clicked on {where}. Click at least {LEAST_POINTS}, "
            "or enter the depth of the fascia."
        )
    if not np.isfinite(points).all():
        raise InputError(f"A point clicked on {where} has no place. Click it again.")
    return points


def _refuse_line(at_mm: Array) -> None:
    spread = np.linalg.svd(at_mm - at_mm.mean(axis=0), compute_uv=False)
    if spread[1] < 1e-3 * max(float(spread[0]), 1.0):
        raise InputError(
            f"All {len(at_mm)} points of the floor lie on one line. "
            "Click points on both sides of the midline as well."
        )


def _scale_mm(at_mm: Array) -> float:
    """Return the length that makes the smoothing the same for few and for many clicks."""
    return float(np.sqrt(np.prod(np.ptp(at_mm, axis=0) + 1.0) / len(at_mm)))


def _left_out_errors_mm(points: Array, scale: float) -> Array:
    """Return by how much the plate without each point misses that point, (n,)."""
    at = points[:, :2] / scale
    away = np.linalg.norm(at[:, None] - at[None], axis=-1)
    bending = np.where(away > 0.0, away**2 * np.log(np.where(away > 0.0, away, 1.0)), 0.0)
    plane = np.column_stack([np.ones(len(at)), at])
    matrix = np.block([[bending + STIFFNESS * np.eye(len(at)), plane], [plane.T, np.zeros((3, 3))]])
    inverse = np.linalg.pinv(matrix)[: len(at), : len(at)]
    weights = inverse @ points[:, 2]
    return np.asarray(weights / np.diag(inverse))


def _surface(skin: Surface, z_mm: Array, known: tuple[Origin, float]) -> Surface:
    origin, sd_mm = known
    return Surface(
        x_mm=skin.x_mm,
        y_mm=skin.y_mm,
        z_mm=tuple(tuple(float(z) for z in row) for row in z_mm),
        origin=origin,
        sd_mm=sd_mm,
    )
