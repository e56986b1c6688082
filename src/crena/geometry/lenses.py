"""Outlines of two circular arcs: the fusiform and the asymmetric lens.

A fusiform of length L and aspect k is the intersection of two discs of radius
R = L (1/4 + W^2/4) / W, W = 1/k, their centres R - L W / 2 to either side of the axis.
An asymmetric lens has both poles off the midline and two arcs of different height.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.optimize import minimize

from crena.geometry.measures import segment_area_mm2
from crena.records.base import Record

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fusiform(Record):
    """A symmetric spindle of two circular arcs."""

    centre_s_mm: float
    centre_y_mm: float
    length_mm: float
    aspect_ratio: float  #: length over width
    tilt_deg: float  #: lean of the cranial pole to the patient's right

    @property
    def area_mm2(self) -> float:
        """Return the area."""
        sagitta_mm = self.length_mm / self.aspect_ratio / 2
        return 2 * segment_area_mm2(self.length_mm, sagitta_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens(Record):
    """Two poles and two arcs of different height; left and right as the surgeon sees them."""

    cranial_pole_mm: tuple[float, float]
    caudal_pole_mm: tuple[float, float]
    left_sagitta_mm: float
    right_sagitta_mm: float

    @property
    def length_mm(self) -> float:
        """Return the distance of the poles."""
        return float(np.hypot(*np.subtract(self.cranial_pole_mm, self.caudal_pole_mm)))

    @property
    def area_mm2(self) -> float:
        """Return the area."""
        return segment_area_mm2(self.length_mm, self.left_sagitta_mm) + segment_area_mm2(
            self.length_mm, self.right_sagitta_mm
        )


def pole_angle_deg(aspect_ratio: float) -> float:
    """Return the angle at the poles of a fusiform: 4 atan(1 / k).

    >>> round(pole_angle_deg(3.0), 2)
    73.74
    """
    return float(np.degrees(4 * np.arctan(1 / aspect_ratio)))


def tangent_pole_angle_deg(aspect_ratio: float) -> float:
    """Return the angle at the acute corners of a rhombic outline: 2 atan(1 / k)."""
    return float(np.degrees(2 * np.arctan(1 / aspect_ratio)))


def smallest_fusiform(
    centres: Floats, radii: Floats, *, aspect_ratio: float, tilt_deg: float
) -> Fusiform:
    """Return the shortest fusiform of one direction round discs.

    Parameters
    ----------
    centres, radii : (n, 2), (n,) float
        The footprint's discs, mm.
    aspect_ratio : float
        Length over width.
    tilt_deg : float
        Lean of the cranial pole to the patient's right.

    Notes
    -----
    Containment in each disc is a second-order cone, jointly convex in centre and length;
    a logarithmic barrier with Newton steps finds the one least length.
    """
    t = np.radians(tilt_deg)
    across = np.array([np.cos(t), -np.sin(t)])
    width = 1 / aspect_ratio
    radius = (1 / 4 + width**2 / 4) / width
    offset = radius - width / 2
    found = _barrier(
        np.ascontiguousarray(centres), np.ascontiguousarray(radii), across * offset, radius
    )
    return Fusiform(
        centre_s_mm=float(found[0]),
        centre_y_mm=float(found[1]),
        length_mm=float(found[2]),
        aspect_ratio=aspect_ratio,
        tilt_deg=tilt_deg,
    )


def smallest_ellipse_half_axis_mm(points: Floats, aspect_ratio: float, tilt_deg: float) -> float:
    """Return the long half-axis of the smallest ellipse of one shape and direction.

    Parameters
    ----------
    points : (n, 2) float
        What it must hold, mm.
    aspect_ratio, tilt_deg : float
        Length over width; lean of the cranial end to the patient's right.

    Notes
    -----
    Widening the short axis by the aspect turns the ellipse into a circle: the answer is
    the radius of the smallest circle round the widened points.
    """
    t = np.radians(tilt_deg)
    axes = np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
    widened = points @ axes.T * np.array([aspect_ratio, 1.0])
    start = (widened.max(axis=0) + widened.min(axis=0)) / 2
    found = minimize(
        lambda c: np.linalg.norm(widened - c, axis=1).max(),
        start,
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-10, "maxiter": 2000},
    )
    return float(found.fun)


def smallest_sagittas_mm(points: Floats, poles: Floats) -> Floats:
    """Return the least left and right arc heights that hold all points, for many pole pairs.

    Parameters
    ----------
    points : (n, 2) float
        What the lens must hold, mm.
    poles : (m, 2, 2) float
        Cranial and caudal pole of each lens, mm.

    Returns
    -------
    (m, 2) float
        Sagittas of the left and the right arc, mm; infinite where a point lies beyond
        the poles.

    Notes
    -----
    With u along and v off the chord of half-length a, the circle through the poles with
    centre (0, -k) holds a point exactly if k <= (a^2 - u^2 - v^2) / 2v; the arc's height
    is sqrt(a^2 + k^2) - k for the smallest such k.
    """
    middle = poles.mean(axis=1)
    chord = poles[:, 0] - poles[:, 1]
    length = np.linalg.norm(chord, axis=1)
    along = chord / length[:, None]
    right = np.column_stack([along[:, 1], -along[:, 0]])
    step = points[None] - middle[:, None]
    u = np.einsum("mnd,md->mn", step, along)
    v = np.einsum("mnd,md->mn", step, right)
    half = (length / 2)[:, None]
    return np.column_stack([_least_sagitta(u, -v, half), _least_sagitta(u, v, half)])


def arc_points(start: Floats, end: Floats, sagitta_mm: float, step_mm: float) -> Floats:
    """Return points (n, 2) of the arc from start to end that bulges to the right of its way.

    Parameters
    ----------
    start, end : (2,) float
        Ends, mm.
    sagitta_mm : float
        Height of the arc; 0 gives the chord.
    step_mm : float
        Greatest distance of neighbours along the arc.
    """
    chord = float(np.linalg.norm(end - start))
    along = (end - start) / chord
    right = np.array([along[1], -along[0]])
    half = 2 * np.arctan(2 * max(sagitta_mm, 1e-9) / chord)
    radius = chord / 2 / np.sin(half)
    n = int(np.ceil(2 * half * radius / step_mm)) + 2
    angle = np.linspace(-half, half, n)
    off = radius * (np.cos(angle) - np.cos(half))
    middle = (start + end) / 2
    return np.asarray(middle + np.outer(radius * np.sin(angle), along) + np.outer(off, right))


def _least_sagitta(u: Floats, v: Floats, half: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        k = np.where(v > 1e-12, (half**2 - u**2 - v**2) / (2 * v), np.inf).min(axis=1)
    beyond = (np.abs(u) >= half).any(axis=1)
    finite = np.where(np.isfinite(k), k, 0.0)
    height = np.where(np.isfinite(k), np.hypot(half[:, 0], finite) - finite, 0.0)
    return np.where(beyond, np.inf, height)


@njit(cache=True)
def _barrier(centres, radii, offset, radius):  # type: ignore[no-untyped-def]
    """Minimise the length; x = (s, y, L); sharpen only when Newton has come to rest."""
    x = np.empty(3)
    x[0], x[1] = centres[:, 0].mean(), centres[:, 1].mean()
    x[2] = 1.0
    while not _inside(x, centres, radii, offset, radius):
        x[2] *= 2.0
    x[2] *= 2.0
    sharpness, count = 1.0, 2.0 * len(radii)
    for _ in range(4000):
        gradient, hessian = _derivatives(x, centres, radii, offset, radius)
        gradient[2] += sharpness
        step = -np.linalg.solve(hessian, gradient)
        decrement = -(gradient @ step)
        if decrement < 1e-2:
            if 2 * count / sharpness < 1e-10:
                break
            sharpness *= 4.0
            continue
        share = 1.0 / (1.0 + np.sqrt(decrement))
        while not _inside(x + share * step, centres, radii, offset, radius):
            share /= 2.0
        x = x + share * step
    return x


@njit(cache=True)
def _inside(x, centres, radii, offset, radius):  # type: ignore[no-untyped-def]
    for i in range(len(radii)):
        room = radius * x[2] - radii[i]
        if not room > 0:
            return False
        for sign in (-1.0, 1.0):
            d0 = centres[i, 0] - x[0] + sign * offset[0] * x[2]
            d1 = centres[i, 1] - x[1] + sign * offset[1] * x[2]
            if not room * room - d0 * d0 - d1 * d1 > 0:
                return False
    return True


@njit(cache=True)
def _derivatives(x, centres, radii, offset, radius):  # type: ignore[no-untyped-def]
    gradient, hessian = np.zeros(3), np.zeros((3, 3))
    g, h = np.empty(3), np.zeros((3, 3))
    for i in range(len(radii)):
        room = radius * x[2] - radii[i]
        for sign in (-1.0, 1.0):
            o0, o1 = sign * offset[0], sign * offset[1]
            d0 = centres[i, 0] - x[0] + o0 * x[2]
            d1 = centres[i, 1] - x[1] + o1 * x[2]
            free = room * room - d0 * d0 - d1 * d1
            g[0], g[1] = 2 * d0, 2 * d1
            g[2] = 2 * (radius * room - o0 * d0 - o1 * d1)
            h[0, 0] = h[1, 1] = -2.0
            h[0, 2] = h[2, 0] = 2 * o0
            h[1, 2] = h[2, 1] = 2 * o1
            h[2, 2] = 2 * (radius * radius - o0 * o0 - o1 * o1)
            for p in range(3):
                gradient[p] -= g[p] / free
                for q in range(3):
                    hessian[p, q] += g[p] * g[q] / free**2 - h[p, q] / free
    return gradient, hessian
