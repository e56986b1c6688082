"""Factors of the stiffness: three ways to solve the same system, all told when it has no factor.

The fronts are dense upper triangles, two rows a node, worked off from the leaves of the
elimination tree (multifrontal Cholesky, Duff & Reid, ACM TOMS 1983;9:302).
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol

import numpy as np
import qdldl
from numba import njit
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from crena.mechanics._pattern import Pattern

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]

AXES = 2
"""Numbers that a node has: x and y."""


_BLOCK = 16
"""Rows that are eliminated before the rest of a front is brought up to date."""


class Method(StrEnum):
    """How the linear system is solved."""

    FRONTS = "fronts"  #: own dense fronts, the fastest on these meshes
    LDL = "sparse LDL"  #: qdldl, with its own ordering
    LU = "sparse LU"  #: SuperLU, for comparison


class Factor(Protocol):
    """A factor that can be renewed for new numbers in the same pattern."""

    def renew(self, stiffness: Floats) -> bool:
        """Factor new numbers; False if the matrix is not positive definite."""

    def solve(self, load: Floats) -> Floats:
        """Solve for one load with the numbers last factored."""


def new_factor(pattern: Pattern, method: Method = Method.FRONTS) -> Factor:
    """Return a factor, empty, for one pattern and one user at a time."""
    makers = {Method.FRONTS: _front_factor, Method.LDL: _ldl_factor, Method.LU: _lu_factor}
    return makers[method](pattern)


@dataclass(slots=True, eq=False)
class _FrontFactor:
    plan: tuple[Any, ...]
    panels: Floats
    stack: Floats
    fresh: Floats

    def renew(self, stiffness: Floats) -> bool:
        return bool(_factor_fronts(stiffness, self.plan, self.panels, self.stack, self.fresh))

    def solve(self, load: Floats) -> Floats:
        solution = load.copy()
        _solve_fronts(self.plan, self.panels, solution)
        return solution


@dataclass(slots=True, eq=False)
class _LdlFactor:
    pattern: Pattern
    solver: Any = None

    def renew(self, stiffness: Floats) -> bool:
        matrix = self.pattern.matrix(stiffness)
        if not np.isfinite(stiffness).all():
            return False
        try:
            if self.solver is None:
                self.solver = qdldl.Solver(matrix, upper=True)
            else:
                self.solver.update(matrix, upper=True)
        except (RuntimeError, ValueError):
            self.solver = None
            return False
        return bool((self.solver.factors()[1] > 0).all())

    def solve(self, load: Floats) -> Floats:
        return np.asarray(self.solver.solve(load))


@dataclass(slots=True, eq=False)
class _LuFactor:
    pattern: Pattern
    factor: Any = None

    def renew(self, stiffness: Floats) -> bool:
        upper = self.pattern.matrix(stiffness)
        whole = sparse.csc_matrix(upper + sparse.triu(upper, 1).T)
        try:
            options = {"SymmetricMode": True}
            self.factor = linalg.splu(
                whole, permc_spec="NATURAL", diag_pivot_thresh=0.0, options=options
            )
        except (RuntimeError, ValueError):
            return False
        return bool((self.factor.U.diagonal() > 0).all())

    def solve(self, load: Floats) -> Floats:
        return np.asarray(self.factor.solve(load))


def _ldl_factor(pattern: Pattern) -> Factor:
    return _LdlFactor(pattern)


def _lu_factor(pattern: Pattern) -> Factor:
    return _LuFactor(pattern)


def _front_factor(pattern: Pattern) -> Factor:
    fronts = pattern.fronts
    own = AXES * np.diff(fronts.columns)
    height = AXES * np.diff(fronts.starts)
    offsets = np.concatenate([[0], np.cumsum(own * height)])
    panel_places = _panel_places(pattern, offsets, height)
    sizes = (height - own) ** 2
    tops, peak = _stack_tops(fronts.parents, sizes)
    plan = (panel_places, fronts.columns, fronts.starts, fronts.rows, fronts.parents,
            fronts.places, offsets, tops)  # fmt: skip
    return _FrontFactor(plan, np.empty(offsets[-1]), np.empty(peak), np.empty(sizes.max()))


def _panel_places(pattern: Pattern, offsets: Indices, height: Indices) -> Indices:
    """Return where each entry of the upper stiffness lies in the panels of the fronts."""
    fronts, count = pattern.fronts, len(pattern.pointers) // AXES
    columns = np.repeat(np.arange(AXES * count), np.diff(pattern.pointers))
    upper, lower = pattern.rows // AXES, columns // AXES
    front_of = np.repeat(np.arange(len(height)), np.diff(fronts.columns))[upper]
    of_row = np.repeat(np.arange(len(height)), np.diff(fronts.starts))
    at = np.searchsorted(of_row * count + fronts.rows, front_of * count + lower)
    column = AXES * (at - fronts.starts[front_of]) + columns % AXES
    row = AXES * (upper - fronts.columns[front_of]) + pattern.rows % AXES
    return np.asarray(offsets[front_of] + row * height[front_of] + column)


def _stack_tops(parents: Indices, sizes: Indices) -> tuple[Indices, int]:
    """Return where each front's remainder lies once its children are taken off, and the peak."""
    tops, children = np.zeros(len(parents), dtype=np.int64), np.full(len(parents), -1)
    top = peak = 0
    for front, size in enumerate(sizes):
        tops[front] = children[front] if children[front] >= 0 else top
        top = int(tops[front] + size)
        peak = max(peak, top)
        above = parents[front]
        if above >= 0 and children[above] < 0:
            children[above] = tops[front]
    return tops, peak


@njit(cache=True, error_model="numpy", fastmath={"contract", "reassoc"})
def _factor_fronts(stiffness, plan, panels, stack, fresh):  # type: ignore[no-untyped-def]
    """Factor all fronts, U^T U; False as soon as a pivot is not above 0.

    What a front leaves to its parent is summed up in ``fresh`` and kept on the stack.
    """
    where, columns, starts, rows, parents, places, offsets, tops = plan
    panels[:] = 0.0
    for entry in range(len(where)):
        panels[where[entry]] = stiffness[entry]
    last_child = np.full(len(parents), -1)
    older = np.full(len(parents), -1)
    for front in range(len(parents)):
        own = 2 * (columns[front + 1] - columns[front])
        height = 2 * (starts[front + 1] - starts[front])
        rest = height - own
        panel = panels[offsets[front] : offsets[front + 1]].reshape((own, height))
        remainder = fresh[: rest * rest].reshape((rest, rest))
        remainder[:, :] = 0.0
        child = last_child[front]
        while child >= 0:
            begin = starts[child] + columns[child + 1] - columns[child]
            place = places[begin : starts[child + 1]]
            size = 2 * len(place)
            taken = stack[tops[child] : tops[child] + size * size].reshape((size, size))
            _add_child(taken, place, panel, remainder)
            child = older[child]
        if not _eliminate(panel):
            return False
        _reduce(panel, own, remainder)
        for at in range(rest * rest):
            stack[tops[front] + at] = fresh[at]
        if parents[front] >= 0:
            older[front] = last_child[parents[front]]
            last_child[parents[front]] = front
    return True


@njit(cache=True, error_model="numpy")
def _add_child(taken, place, panel, remainder):  # type: ignore[no-untyped-def]
    own = len(panel)
    for i in range(len(taken)):
        row = 2 * place[i // 2] + i % 2
        target = panel[row] if row < own else remainder[row - own]
        shift = 0 if row < own else own
        if i % 2 == 1:
            target[row - shift] += taken[i, i]
        for n in range(i // 2 + i % 2, len(place)):
            column = 2 * place[n] - shift
            target[column] += taken[i, 2 * n]
            target[column + 1] += taken[i, 2 * n + 1]


@njit(cache=True, error_model="numpy")
def _eliminate(panel):  # type: ignore[no-untyped-def]
    """Turn the rows of a front into rows of the factor, block by block."""
    own = len(panel)
    for first in range(0, own, _BLOCK):
        last = min(first + _BLOCK, own)
        if not _eliminate_block(panel, first, last):
            return False
        _reduce(panel[first:last], last, panel[:own])
    return True


@njit(cache=True, error_model="numpy", fastmath={"contract", "reassoc"})
def _eliminate_block(panel, first, last):  # type: ignore[no-untyped-def]
    height = panel.shape[1]
    for i in range(first, last, 2):
        a, b = panel[i], panel[i + 1]
        if not a[i] > 0.0:
            return False
        scale = 1.0 / np.sqrt(a[i])
        share = scale * a[i + 1]
        for c in range(i, height):
            a[c] *= scale
            b[c] -= share * a[c]
        if not b[i + 1] > 0.0:
            return False
        scale = 1.0 / np.sqrt(b[i + 1])
        for c in range(i + 1, height):
            b[c] *= scale
        for row in range(i + 2, last, 2):
            x, y = panel[row], panel[row + 1]
            s, t, u, v = a[row], b[row], a[row + 1], b[row + 1]
            for c in range(row, height):
                x[c] -= s * a[c] + t * b[c]
                y[c] -= u * a[c] + v * b[c]
    return True


@njit(cache=True, error_model="numpy", fastmath={"contract", "reassoc"})
def _reduce(rows, skip, target):  # type: ignore[no-untyped-def]
    """Take rows of the factor out of the target, four by four, from their column ``skip`` on.

    That column belongs to the diagonal of the target, which ends where the rows end. The sums
    run in a strip of their own, which the compiler then knows to overlap nothing.
    """
    width = rows.shape[1] - skip
    origin = target.shape[1] - width
    strip = np.empty((4, width))
    s0, s1, s2, s3 = strip[0], strip[1], strip[2], strip[3]
    for i in range(0, len(target) - origin, 4):
        long, high = width - i, min(4, len(target) - origin - i)
        strip[:, :long] = 0.0
        k = 0
        while k + 4 <= len(rows):
            a, b = rows[k, skip + i :], rows[k + 1, skip + i :]
            c, d = rows[k + 2, skip + i :], rows[k + 3, skip + i :]
            a0, a1, a2, a3 = a[0], a[1], a[high - 2], a[high - 1]
            b0, b1, b2, b3 = b[0], b[1], b[high - 2], b[high - 1]
            c0, c1, c2, c3 = c[0], c[1], c[high - 2], c[high - 1]
            d0, d1, d2, d3 = d[0], d[1], d[high - 2], d[high - 1]
            for n in range(long):
                s0[n] += a0 * a[n] + b0 * b[n] + c0 * c[n] + d0 * d[n]
                s1[n] += a1 * a[n] + b1 * b[n] + c1 * c[n] + d1 * d[n]
                s2[n] += a2 * a[n] + b2 * b[n] + c2 * c[n] + d2 * d[n]
                s3[n] += a3 * a[n] + b3 * b[n] + c3 * c[n] + d3 * d[n]
            k += 4
        if k < len(rows):
            a, b = rows[k, skip + i :], rows[k + 1, skip + i :]
            a0, a1, a2, a3 = a[0], a[1], a[high - 2], a[high - 1]
            b0, b1, b2, b3 = b[0], b[1], b[high - 2], b[high - 1]
            for n in range(long):
                s0[n] += a0 * a[n] + b0 * b[n]
                s1[n] += a1 * a[n] + b1 * b[n]
                s2[n] += a2 * a[n] + b2 * b[n]
                s3[n] += a3 * a[n] + b3 * b[n]
        for j in range(high):
            x, y = target[origin + i + j, origin + i :], strip[j]
            for n in range(long):
                x[n] -= y[n]


@njit(cache=True, error_model="numpy")
def _solve_fronts(plan, panels, solution):  # type: ignore[no-untyped-def]
    """Replace the load in ``solution`` by the solution."""
    strip = np.empty(len(solution))
    _forward(plan, panels, solution, strip)
    _backward(plan, panels, solution, strip)


@njit(cache=True, error_model="numpy", fastmath={"contract", "reassoc"})
def _forward(plan, panels, solution, strip):  # type: ignore[no-untyped-def]
    _, columns, starts, rows, parents, _, offsets, _ = plan
    for front in range(len(parents)):
        first, own = 2 * columns[front], 2 * (columns[front + 1] - columns[front])
        row = rows[starts[front] + own // 2 : starts[front + 1]]
        panel = panels[offsets[front] : offsets[front + 1]].reshape((own, own + 2 * len(row)))
        mine, rest = solution[first : first + own], strip[: 2 * len(row)]
        rest[:] = 0.0
        for i in range(own):
            mine[i] /= panel[i, i]
            near, far, value = panel[i, :own], panel[i, own:], mine[i]
            for c in range(i + 1, own):
                mine[c] -= near[c] * value
            for c in range(len(rest)):
                rest[c] += far[c] * value
        for n in range(len(row)):
            solution[2 * row[n]] -= rest[2 * n]
            solution[2 * row[n] + 1] -= rest[2 * n + 1]


@njit(cache=True, error_model="numpy", fastmath={"contract", "reassoc"})
def _backward(plan, panels, solution, strip):  # type: ignore[no-untyped-def]
    _, columns, starts, rows, parents, _, offsets, _ = plan
    for front in range(len(parents) - 1, -1, -1):
        first, own = 2 * columns[front], 2 * (columns[front + 1] - columns[front])
        row = rows[starts[front] + own // 2 : starts[front + 1]]
        panel = panels[offsets[front] : offsets[front + 1]].reshape((own, own + 2 * len(row)))
        mine, rest = solution[first : first + own], strip[: 2 * len(row)]
        for n in range(len(row)):
            rest[2 * n], rest[2 * n + 1] = solution[2 * row[n]], solution[2 * row[n] + 1]
        for i in range(own - 1, -1, -1):
            near, far, total = panel[i, :own], panel[i, own:], mine[i]
            for c in range(i + 1, own):
                total -= near[c] * mine[c]
            for c in range(len(rest)):
                total -= far[c] * rest[c]
            mine[i] = total / panel[i, i]
