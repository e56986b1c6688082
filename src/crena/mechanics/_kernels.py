"""Compiled element sums: energy, out-of-balance force and stiffness of the membrane.

A deformation gradient is four numbers, F11 F12 F21 F22. A law is eight: shear and fibre
stiffness (N/mm2), exponent, dispersion, cap, slack, and the fibre direction (2).
"""

from typing import Any

import numpy as np
from numba import njit

Array = np.ndarray[Any, Any]

TAUT, WRINKLED, SLACK = 0, 1, 2
"""State of a point of the sheet."""


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def assemble(x, body, held, law, convex, into):  # type: ignore[no-untyped-def]
    """Fill the out-of-balance force and the stiffness at nodes x (n, 2); return the energy, N mm.

    ``body`` is triangles, gradients, volumes; ``held`` the fascia's hold of each node and its
    place before; ``into`` the degree of freedom of each triangle's numbers (m, 6), the place
    of its 21 upper entries (m, 21), the first degree of freedom of each node, the place of
    each diagonal entry, then the force and the stiffness, each with places at the end that
    nobody reads. The energy is infinite, and the rest unfinished, if a triangle is turned over.
    """
    triangles, gradients, volumes = body
    dofs, slots, _, _, force, stiffness = into
    force[:] = 0.0
    stiffness[:] = 0.0
    p, a, k = np.empty(4), np.empty((4, 4)), np.empty((6, 6))
    total = 0.0
    for e in range(len(triangles)):
        b = gradients[e]
        f = _gradient(x, triangles[e], b)
        if not f[0] * f[3] - f[1] * f[2] > 0.0:
            return np.inf
        terms = _terms(f, law)
        total += volumes[e] * terms[0]
        _fill_stress(f, law, terms, p)
        _fill_tangent(f, law, terms, convex, a)
        _element_stiffness(volumes[e], a, b, k)
        for node in range(3):
            for i in range(2):
                pull = p[2 * i] * b[node, 0] + p[2 * i + 1] * b[node, 1]
                force[dofs[e, 2 * node + i]] += volumes[e] * pull
        slot = 0
        for i in range(6):
            for j in range(i, 6):
                stiffness[slots[e, slot]] += k[i, j]
                slot += 1
    return total + _add_hold(x, held, into)


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def node_forces(x, body, held, law):  # type: ignore[no-untyped-def]
    """Return the force at every node, seams not joined (n, 2), N: of the sheet and its hold."""
    triangles, gradients, volumes = body
    hold, before = held
    force = np.empty_like(x)
    for node in range(len(x)):
        for i in range(2):
            force[node, i] = hold[node] * (x[node, i] - before[node, i])
    p = np.empty(4)
    for e in range(len(triangles)):
        b = gradients[e]
        f = _gradient(x, triangles[e], b)
        _fill_stress(f, law, _terms(f, law), p)
        for node in range(3):
            for i in range(2):
                pull = p[2 * i] * b[node, 0] + p[2 * i + 1] * b[node, 1]
                force[triangles[e, node], i] += volumes[e] * pull
    return force


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def point_response(f, law, convex):  # type: ignore[no-untyped-def]
    """Return energy, stress (4,) and tangent (4, 4) of one deformation gradient (4,), N/mm2."""
    p, a = np.zeros(4), np.zeros((4, 4))
    w = np.inf
    if f[0] * f[3] - f[1] * f[2] > 0.0:
        terms = _terms(f, law)
        w = terms[0]
        _fill_stress(f, law, terms, p)
        _fill_tangent(f, law, terms, convex, a)
    return w, p, a


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _add_hold(x, held, into):  # type: ignore[no-untyped-def]
    """Add what the fascia's hold brings to force and stiffness; return its energy."""
    hold, before = held
    _, _, node_dofs, diagonal, force, stiffness = into
    total = 0.0
    for node in range(len(x)):
        for i in range(2):
            off, dof = x[node, i] - before[node, i], node_dofs[node] + i
            total += 0.5 * hold[node] * off * off
            force[dof] += hold[node] * off
            stiffness[diagonal[dof]] += hold[node]
    return total


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _gradient(x, triangle, b):  # type: ignore[no-untyped-def]
    f0 = f1 = f2 = f3 = 0.0
    for node in range(3):
        u, v = x[triangle[node], 0], x[triangle[node], 1]
        f0 += u * b[node, 0]
        f1 += u * b[node, 1]
        f2 += v * b[node, 0]
        f3 += v * b[node, 1]
    return f0, f1, f2, f3


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _terms(f, law):  # type: ignore[no-untyped-def]
    """Return energy, share of the full and of the relaxed law, fibre slope and curvature."""
    f0, f1, f2, f3 = f
    j = f0 * f3 - f1 * f2
    turn = np.sqrt((f0 + f3) ** 2 + (f2 - f1) ** 2)
    shear = np.sqrt((f0 - f3) ** 2 + (f1 + f2) ** 2)
    long, short = 0.5 * (turn + shear), 0.5 * (turn - shear)
    first = f0 * f0 + f1 * f1 + f2 * f2 + f3 * f3 + 1.0 / (j * j) - 3.0
    full, relaxed = law[0], 0.0
    if long * short * short < 1.0:
        full = law[0] * law[5]
        if long > 1.0:
            relaxed = law[0] - full
    w = 0.5 * full * first + 0.5 * relaxed * (long * long + 2.0 / long - 3.0)
    slope = curvature = 0.0
    fourth = (f0 * law[6] + f1 * law[7]) ** 2 + (f2 * law[6] + f3 * law[7]) ** 2
    e = law[3] * first + (1.0 - 3.0 * law[3]) * (fourth - 1.0)
    if e > 0.0 and law[1] > 0.0:
        inner = min(e, law[4])
        grown = np.exp(law[2] * inner * inner)
        curvature = law[1] * grown * (1.0 + 2.0 * law[2] * inner * inner)
        slope = law[1] * grown * inner
        w += 0.5 * law[1] / law[2] * (grown - 1.0)
        w += (slope + 0.5 * curvature * (e - inner)) * (e - inner)
        slope += curvature * (e - inner)
    return w, full, relaxed, slope, curvature


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _fill_stress(f, law, terms, p):  # type: ignore[no-untyped-def]
    """Fill the stress p (4,): c (F - s h) of the laws that know all of F, h the cofactors."""
    _, full, relaxed, slope, _ = terms
    f0, f1, f2, f3 = f
    j = f0 * f3 - f1 * f2
    s = 1.0 / (j * j * j)
    c, b = full + 2.0 * law[3] * slope, 2.0 * (1.0 - 3.0 * law[3]) * slope
    u, v = f0 * law[6] + f1 * law[7], f2 * law[6] + f3 * law[7]
    p[0] = c * (f0 - s * f3) + b * u * law[6]
    p[1] = c * (f1 + s * f2) + b * u * law[7]
    p[2] = c * (f2 + s * f1) + b * v * law[6]
    p[3] = c * (f3 - s * f0) + b * v * law[7]
    if relaxed > 0.0:
        (t0, t1, q0, q1), turn, shear = _frame(f)
        long = 0.5 * (turn + shear)
        first = 0.5 * relaxed * (long - 1.0 / (long * long))
        p[0] += first * (t0 + q0)
        p[1] += first * (q1 - t1)
        p[2] += first * (t1 + q1)
        p[3] += first * (t0 - q0)


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _fill_tangent(f, law, terms, convex, a):  # type: ignore[no-untyped-def]
    """Fill the tangent a (4, 4): c (I - s D + 3/J^4 h h), D the derivative of the cofactors h.

    ``convex`` asks for one without a negative eigenvalue.
    """
    _, full, relaxed, slope, curvature = terms
    f0, f1, f2, f3 = f
    j = f0 * f3 - f1 * f2
    s = 1.0 / (j * j * j)
    k, axis = law[3], (law[6], law[7])
    u, v = f0 * axis[0] + f1 * axis[1], f2 * axis[0] + f3 * axis[1]
    h = (f3, -f2, -f1, f0)
    g = (u * axis[0], u * axis[1], v * axis[0], v * axis[1])
    c, b = full + 2.0 * k * slope, 2.0 * (1.0 - 3.0 * k) * slope
    for i in range(4):
        side = 2.0 * (k * (f[i] - s * h[i]) + (1.0 - 3.0 * k) * g[i])
        for n in range(4):
            other = 2.0 * (k * (f[n] - s * h[n]) + (1.0 - 3.0 * k) * g[n])
            a[i, n] = 3.0 * c * s / j * h[i] * h[n] + curvature * side * other
            if i // 2 == n // 2:
                a[i, n] += b * axis[i % 2] * axis[n % 2]
        a[i, i] += c
    a[0, 3] -= c * s
    a[3, 0] -= c * s
    a[1, 2] += c * s
    a[2, 1] += c * s
    twist = c * (1.0 - s)
    if relaxed > 0.0:
        twist += _add_wrinkled(f, relaxed, a)
    if convex == 1 and twist < 0.0:
        _add_twist(f, -twist, a)


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _frame(f):  # type: ignore[no-untyped-def]
    """Return directions of the turn and of the shear in F, then sum and difference of stretches."""
    t0, t1, q0, q1 = f[0] + f[3], f[2] - f[1], f[0] - f[3], f[1] + f[2]
    turn, shear = np.sqrt(t0 * t0 + t1 * t1), np.sqrt(q0 * q0 + q1 * q1)
    return (t0 / turn, t1 / turn, q0 / shear, q1 / shear), turn, shear


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _add_wrinkled(f, relaxed, a):  # type: ignore[no-untyped-def]
    """Add the tangent of a wrinkled point, whose law depends on the larger stretch alone.

    Returns its stiffness against a twist.
    """
    (t0, t1, q0, q1), turn, shear = _frame(f)
    long = 0.5 * (turn + shear)
    first = relaxed * (long - 1.0 / (long * long))
    second = relaxed * (1.0 + 2.0 / (long * long * long))
    d = (0.5 * (t0 + q0), 0.5 * (q1 - t1), 0.5 * (t1 + q1), 0.5 * (t0 - q0))
    m = (-t1, -t0, t0, -t1)
    n = (-q1, q0, q0, q1)
    for i in range(4):
        for r in range(4):
            bend = m[i] * m[r] / turn + n[i] * n[r] / shear
            a[i, r] += second * d[i] * d[r] + 0.5 * first * bend
    return first / turn


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _add_twist(f, stiffness, a):  # type: ignore[no-untyped-def]
    """Add stiffness against the twist, which turns the two principal directions alike.

    It is the one direction in which the laws without fibres can be concave (eigenvectors of
    isotropic laws: Smith, De Goes & Kim, ACM Trans Graph 2019;38(1):3, from memory).
    """
    (t0, t1, _, _), _, _ = _frame(f)
    m = (-t1, -t0, t0, -t1)
    for i in range(4):
        for r in range(4):
            a[i, r] += 0.5 * stiffness * m[i] * m[r]


@njit(cache=True, error_model="numpy", fastmath={"contract"})
def _element_stiffness(volume, a, b, k):  # type: ignore[no-untyped-def]
    """Fill k (6, 6), upper part: nodes 2 and 3 from the tangent, node 1 from balance."""
    for row in range(2, 6):
        b0, b1, i = b[row // 2, 0], b[row // 2, 1], 2 * (row % 2)
        for column in range(row, 6):
            c0, c1, r = b[column // 2, 0], b[column // 2, 1], 2 * (column % 2)
            first = a[i, r] * c0 + a[i, r + 1] * c1
            second = a[i + 1, r] * c0 + a[i + 1, r + 1] * c1
            k[row, column] = k[column, row] = volume * (b0 * first + b1 * second)
    for i in range(2):
        for node in range(2, 6):
            k[i, node] = -k[2 + i, node] - k[4 + i, node]
    for i in range(2):
        for r in range(i, 2):
            k[i, r] = -k[i, 2 + r] - k[i, 4 + r]
