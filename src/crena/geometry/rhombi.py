"""The smallest rhombus round a footprint, in closed form.

A rhombus is given by its centre, the radius rho of its inscribed circle, its acute angle g
and its tilt t: the lean of the long diagonal's cranial end towards the patient's right.
With w(theta) the width of the footprint, 2 rho = max of the two widths across the walls,
side = 2 rho / sin g, area = (2 rho)^2 / sin g.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize, minimize_scalar

from crena.geometry.supports import support_mm, width_mm
from crena.records.base import Record

Floats = NDArray[np.float64]

SAME_RHO_MM = 1e-9
"""Inradii closer than this are equal: the place is then free along a segment."""

ACUTE_RANGE_DEG = (60.0, 90.0)
"""Acute angles that the trade uses for rhombic excisions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rhombus(Record):
    """A rhombus on the skin."""

    centre_s_mm: float
    centre_y_mm: float
    inradius_mm: float
    acute_deg: float
    tilt_deg: float  #: lean of the cranial end to the patient's right
    shift_ratio: float = 0.0  #: caudal corner moved to the patient's right, over the long diagonal

    @property
    def side_mm(self) -> float:
        """Return the length of each side before any shift of the caudal corner."""
        return float(2 * self.inradius_mm / np.sin(np.radians(self.acute_deg)))

    @property
    def area_mm2(self) -> float:
        """Return the area; a shift along the short diagonal does not change it."""
        return float(4 * self.inradius_mm**2 / np.sin(np.radians(self.acute_deg)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerLimits(Record):
    """What the corners of an outline must keep."""

    lower_end_midline_mm: float  #: of the lowest corner, on the side that it is on
    lower_end_sign: int  #: +1 if the lowest corner lies to the patient's right
    anal_verge_s_mm: float
    anal_verge_y_mm: float
    anal_verge_mm: float  #: of every corner


def corner_points(rhombi: Floats) -> Floats:
    """Return the corners A (cranial), B (left), C (caudal), D (right) of many rhombi.

    Parameters
    ----------
    rhombi : (n, 6) float
        Rows of centre s, centre y, inradius (mm), acute angle and tilt (degrees), and the
        shift of the caudal corner to the patient's right over the long diagonal.

    Returns
    -------
    (n, 4, 2) float
        Anticlockwise, mm.
    """
    s, y, rho, shift = rhombi[:, 0], rhombi[:, 1], rhombi[:, 2], rhombi[:, 5]
    half, tilt = np.radians(rhombi[:, 3] / 2), np.radians(rhombi[:, 4])
    up = np.column_stack([np.sin(tilt), np.cos(tilt)])
    right = np.column_stack([np.cos(tilt), -np.sin(tilt)])
    long, short = (rho / np.sin(half))[:, None], (rho / np.cos(half))[:, None]
    centre = np.column_stack([s, y])
    caudal = centre - long * up + 2 * long * shift[:, None] * right
    return np.stack(
        [centre + long * up, centre - short * right, caudal, centre + short * right], axis=1
    )


def row_of(rhombus: Rhombus) -> Floats:
    """Return a rhombus as a row (1, 6) for `corner_points`."""
    return np.array(
        [
            [
                rhombus.centre_s_mm,
                rhombus.centre_y_mm,
                rhombus.inradius_mm,
                rhombus.acute_deg,
                rhombus.tilt_deg,
                rhombus.shift_ratio,
            ]
        ]
    )


def free_inradii_mm(
    centres: Floats, radii: Floats, acute_deg: ArrayLike, tilt_deg: ArrayLike
) -> Floats:
    """Return the inradius (n,) of the smallest rhombus for each acute angle and tilt, mm."""
    half, tilt = np.radians(np.asarray(acute_deg) / 2), np.radians(tilt_deg)
    first = width_mm(centres, radii, half - tilt)
    second = width_mm(centres, radii, -half - tilt)
    return np.asarray(np.maximum(first, second) / 2)


def free_inradii_on_grid_mm(
    centres: Floats, radii: Floats, step_deg: float
) -> tuple[Floats, Floats, Floats]:
    """Return inradii for all tilts and acute angles on a grid, each width computed once.

    Parameters
    ----------
    centres, radii : (n, 2), (n,) float
        The footprint's discs, mm.
    step_deg : float
        Step of the walls' directions; acute angles run in steps of twice it.

    Returns
    -------
    inradii : (m, k) float
        mm.
    acute_deg, tilt_deg : (m,), (k,) float
    """
    n = round(180 / step_deg)
    theta = np.arange(n) * step_deg
    widths = width_mm(centres, radii, np.radians(theta))
    lag = np.arange(round(ACUTE_RANGE_DEG[0] / step_deg), round(ACUTE_RANGE_DEG[1] / step_deg) + 1)
    lag = lag[lag % 2 == 0]
    twice = np.concatenate([widths, widths])
    rows = np.lib.stride_tricks.sliding_window_view(twice, n)[lag]
    return (
        np.maximum(rows, widths) / 2,
        lag * step_deg,
        (-theta[None] - lag[:, None] * step_deg / 2),
    )


def smallest_rhombus(
    centres: Floats, radii: Floats, *, acute_deg: float | None = None, tilt_deg: float | None = None
) -> Rhombus:
    """Return the smallest rhombus round discs.

    Parameters
    ----------
    centres, radii : (n, 2), (n,) float
        The footprint's discs, mm.
    acute_deg, tilt_deg : float or None
        Fixed where given; else free, the acute angle within 60 to 90 degrees.

    Notes
    -----
    For a fixed acute angle the area over the tilt is concave between its breakpoints, so a
    grid of 0.25 degrees with a bounded search in the best cells finds the least.
    """
    acute = [acute_deg] if acute_deg is not None else np.arange(60.0, 90.01, 2.5)
    tilts = [tilt_deg] if tilt_deg is not None else np.arange(-90.0, 90.0, 0.25)
    grid = np.array([(g, t) for g in acute for t in tilts])
    rho = free_inradii_mm(centres, radii, grid[:, 0], grid[:, 1])
    area = rho**2 / np.sin(np.radians(grid[:, 0]))
    best = grid[np.argmin(area)]
    g = best[0] if acute_deg is not None else _polished(centres, radii, best)
    t = best[1] if tilt_deg is not None else _best_tilt(centres, radii, float(g), best[1])
    return _centred(centres, radii, float(g), float(t))


def constrained_rhombi(
    centres: Floats, radii: Floats, shapes: Floats, limits: CornerLimits
) -> Floats:
    """Return the smallest rhombus for each shape with its corners within the limits.

    Parameters
    ----------
    centres, radii : (n, 2), (n,) float
        The footprint's discs, mm.
    shapes : (m, 4) float
        Rows of acute angle and tilt (degrees), shift of the caudal corner, and the bearing
        from the anal verge (degrees from cranial, positive to the patient's right) along
        which its distance is kept.
    limits : CornerLimits
        Of all corners.

    Returns
    -------
    (m, 6) float
        Rows for `corner_points`; NaN where no rhombus of that shape keeps the limits.

    Notes
    -----
    For a fixed shape this is a linear programme in (s, y, rho): four walls, the lowest
    corner's distance from the midline, and the half-plane before the anal verge for the
    corner that reaches furthest into it, hence for all. Its optimum is a vertex: all 20
    are tried. The half-plane lies inside the disc's complement, so the disc is kept too.
    """
    numbers = np.array(
        [
            limits.lower_end_midline_mm,
            limits.lower_end_sign,
            limits.anal_verge_s_mm,
            limits.anal_verge_y_mm,
            limits.anal_verge_mm,
        ],
        dtype=float,
    )
    return np.asarray(
        _smallest_within(
            np.ascontiguousarray(centres), np.ascontiguousarray(radii), shapes, numbers
        )
    )


def smallest_constrained_rhombus(
    centres: Floats, radii: Floats, limits: CornerLimits
) -> Rhombus | None:
    """Return the smallest rhombus of any tilt and acute angle with its corners within limits.

    Parameters
    ----------
    centres, radii : (n, 2), (n,) float
        The footprint's discs, mm.
    limits : CornerLimits
        Of all corners, for one side.

    Returns
    -------
    Rhombus or None
        None where no rhombus keeps the limits.
    """
    grid = np.array(
        [
            (g, t, 0.0, bearing * limits.lower_end_sign)
            for g in np.arange(60.0, 90.01, 2.5)
            for t in np.arange(-90.0, 90.0, 1.0)
            for bearing in (0.0, 30.0, 60.0, 90.0)
        ]
    )
    rows = constrained_rhombi(centres, radii, grid, limits)
    area = _areas(rows)
    if not np.isfinite(area).any():
        return None
    start = grid[np.nanargmin(area)]

    def cost(x: Floats) -> float:
        inside = np.array([[np.clip(x[0], *ACUTE_RANGE_DEG), x[1], 0.0, start[3]]])
        found = float(_areas(constrained_rhombi(centres, radii, inside, limits))[0])
        return found if np.isfinite(found) else 1e12

    best = minimize(cost, start[:2], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-7})
    shape = np.array([[np.clip(best.x[0], *ACUTE_RANGE_DEG), best.x[1], 0.0, start[3]]])
    return _as_rhombus(constrained_rhombi(centres, radii, shape, limits)[0])


def _areas(rows: Floats) -> Floats:
    return np.asarray(4 * rows[:, 2] ** 2 / np.sin(np.radians(rows[:, 3])))


def _as_rhombus(row: Floats) -> Rhombus:
    s, y, rho, acute, tilt, shift = (float(v) for v in row)
    return Rhombus(
        centre_s_mm=s,
        centre_y_mm=y,
        inradius_mm=rho,
        acute_deg=acute,
        tilt_deg=_folded(tilt),
        shift_ratio=shift,
    )


def _folded(tilt_deg: float) -> float:
    return (tilt_deg + 90.0) % 180.0 - 90.0


def _best_tilt(centres: Floats, radii: Floats, acute: float, near: float) -> float:
    found = minimize_scalar(
        lambda t: free_inradii_mm(centres, radii, [acute], [t])[0],
        bounds=(near - 0.26, near + 0.26),
        method="bounded",
        options={"xatol": 1e-10},
    )
    at_grid = free_inradii_mm(centres, radii, [acute], [near])[0]
    return float(found.x) if found.fun < at_grid else near


def _polished(centres: Floats, radii: Floats, start: Floats) -> float:
    def area(g: float) -> float:
        t = _best_tilt(centres, radii, g, start[1])
        return float(free_inradii_mm(centres, radii, [g], [t])[0] ** 2 / np.sin(np.radians(g)))

    low, high = max(60.0, start[0] - 2.5), min(90.0, start[0] + 2.5)
    found = minimize_scalar(area, bounds=(low, high), method="bounded")
    return float(found.x) if found.fun < area(start[0]) else float(start[0])


def _centred(centres: Floats, radii: Floats, acute: float, tilt: float) -> Rhombus:
    """Place the centre midway between both pairs of walls."""
    walls = np.radians([acute / 2 - tilt, -acute / 2 - tilt])
    reach = support_mm(centres, radii, walls)
    back = support_mm(centres, radii, walls + np.pi)
    normals = np.column_stack([np.cos(walls), np.sin(walls)])
    s, y = np.linalg.solve(normals, (reach - back) / 2)
    rho = float((reach + back).max() / 2)
    return _as_rhombus(np.array([s, y, rho, acute, tilt, 0.0]))


@njit(cache=True)
def _smallest_within(centres, radii, shapes, limits):  # type: ignore[no-untyped-def]
    out = np.full((len(shapes), 6), np.nan)
    rows = np.empty((6, 4))
    for m in range(len(shapes)):
        _fill_rows(centres, radii, shapes[m], limits, rows)
        s, y, rho = _middle_of_best(rows)
        if np.isfinite(rho):
            out[m, 0], out[m, 1], out[m, 2] = s, y, rho
            out[m, 3:] = shapes[m, :3]
    return out


@njit(cache=True)
def _middle_of_best(rows):  # type: ignore[no-untyped-def]
    """Return the least rho and the middle of all places that reach it: a point or a segment."""
    best = np.inf
    low_s = high_s = low_y = high_y = 0.0
    for i in range(4):
        for j in range(i + 1, 5):
            for k in range(j + 1, 6):
                s, y, rho = _corner_of(rows, i, j, k)
                if not rho <= best + SAME_RHO_MM or not _keeps(rows, s, y, rho):
                    continue
                if rho < best - SAME_RHO_MM:
                    best = rho
                    low_s = high_s = s
                    low_y = high_y = y
                low_s, high_s = min(low_s, s), max(high_s, s)
                low_y, high_y = min(low_y, y), max(high_y, y)
    return (low_s + high_s) / 2, (low_y + high_y) / 2, best


@njit(cache=True)
def _fill_rows(centres, radii, shape, limits, rows):  # type: ignore[no-untyped-def]
    """Write the six rows a s + b y + c rho >= d of one shape."""
    corners = _unit_corners(shape)
    for w in range(4):
        p, q = corners[w], corners[(w + 1) % 4]
        length = np.hypot(q[0] - p[0], q[1] - p[1])
        a, b = (q[1] - p[1]) / length, (p[0] - q[0]) / length
        reach = -np.inf
        for i in range(len(radii)):
            reach = max(reach, a * centres[i, 0] + b * centres[i, 1] + radii[i])
        rows[w, 0], rows[w, 1], rows[w, 2], rows[w, 3] = a, b, a * p[0] + b * p[1], reach
    u, v = np.sin(np.radians(shape[3])), np.cos(np.radians(shape[3]))
    lowest = np.argmin(corners[:, 1])
    nearest = (corners[:, 0] * u + corners[:, 1] * v).min()
    distance, sign, verge_s, verge_y, verge = limits
    rows[4, 0], rows[4, 1] = sign, 0.0
    rows[4, 2], rows[4, 3] = sign * corners[lowest, 0], distance
    rows[5, 0], rows[5, 1], rows[5, 2] = u, v, nearest
    rows[5, 3] = verge + u * verge_s + v * verge_y


@njit(cache=True)
def _unit_corners(shape):  # type: ignore[no-untyped-def]
    """Return the corners for centre 0 and inradius 1, as `corner_points` does."""
    half, tilt = np.radians(shape[0]) / 2, np.radians(shape[1])
    long, short = 1 / np.sin(half), 1 / np.cos(half)
    shift = 2 * long * shape[2]
    local = np.array([[0.0, long], [-short, 0.0], [shift, -long], [short, 0.0]])
    out = np.empty((4, 2))
    out[:, 0] = local[:, 0] * np.cos(tilt) + local[:, 1] * np.sin(tilt)
    out[:, 1] = local[:, 1] * np.cos(tilt) - local[:, 0] * np.sin(tilt)
    return out


@njit(cache=True)
def _corner_of(rows, i, j, k):  # type: ignore[no-untyped-def]
    """Return where three rows meet, by Cramer's rule; NaN where they do not."""
    a, b, c = rows[i], rows[j], rows[k]
    det = _det(a, b, c, 0, 1, 2)
    if abs(det) < 1e-12:
        return np.nan, np.nan, np.nan
    return _det(a, b, c, 3, 1, 2) / det, _det(a, b, c, 0, 3, 2) / det, _det(a, b, c, 0, 1, 3) / det


@njit(cache=True)
def _det(a, b, c, p, q, r):  # type: ignore[no-untyped-def]
    return (
        a[p] * (b[q] * c[r] - b[r] * c[q])
        - a[q] * (b[p] * c[r] - b[r] * c[p])
        + a[r] * (b[p] * c[q] - b[q] * c[p])
    )


@njit(cache=True)
def _keeps(rows, s, y, rho):  # type: ignore[no-untyped-def]
    for row in rows:
        if not row[0] * s + row[1] * y + row[2] * rho >= row[3] - 1e-9:
            return False
    return True
