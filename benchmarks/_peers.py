"""The same closure by general finite-element packages: their own sums, our rules.

A peer gets what a closure knows before it begins: the mesh, ready in the peer's own form and
already free of stress, the ties as x = T q, the fascia's hold and the start. The law is
written out for whole arrays, tangent and all. Step, line search and end are those of
`crena.mechanics.solver`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import felupe
import numpy as np
import skfem
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from crena.mechanics.closed import SolverLimits
from crena.mechanics.material import Skin
from crena.mechanics.prepared import Prepared
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.mechanics.solver import ROUNDING, SHORTEST_STEP, SUFFICIENT_DECREASE
from crena.records.units import N_PER_MM2_PER_KPA

Floats = NDArray[np.float64]
Solve = Callable[[Any, Floats], Floats]
"""Solves for one matrix, by columns, and one load."""

ONE_POINT = (np.array([[1 / 3], [1 / 3]]), np.array([0.5]))
"""The middle of a triangle: enough for a constant gradient, and a third of the work of the
three points that scikit-fem takes by default."""


class Peer(Protocol):
    """The sums over triangles; what belongs to a triangle has its axes last."""

    volumes_mm3: Floats

    def deformations(self, places: Floats) -> Floats:
        """Return the deformation gradients (2, 2, ...) at places (n, 2)."""

    def forces(self, stress: Floats) -> Floats:
        """Return the forces (2 n,), N, of a stress (2, 2, ...), N/mm2."""

    def stiffness(self, tangent: Floats) -> Any:
        """Return the stiffness (2 n, 2 n), N/mm, of a tangent (2, 2, 2, 2, ...), N/mm2."""


class ScikitFem:
    """scikit-fem: vector-valued linear triangles, one bilinear and one linear form."""

    def __init__(self, nodes_mm: Floats, triangles: NDArray[np.int64], thickness_mm: float):
        points, corners = (np.ascontiguousarray(a.T) for a in (nodes_mm, triangles))
        mesh = skfem.MeshTri(points, corners, sort_t=False)
        element = skfem.ElementVector(skfem.ElementTriP1())
        self.basis = skfem.Basis(mesh, element, quadrature=ONE_POINT)
        self.thickness_mm = thickness_mm
        self.volumes_mm3 = thickness_mm * self.basis.dx

    def deformations(self, places: Floats) -> Floats:
        return np.asarray(self.basis.interpolate(places.ravel()).grad)

    def forces(self, stress: Floats) -> Floats:
        return _work.assemble(self.basis, stress=self.thickness_mm * stress)

    def stiffness(self, tangent: Floats) -> Any:
        return _rise.assemble(self.basis, tangent=self.thickness_mm * tangent)


class FElupe:
    """FElupe: a plane field of linear triangles, integrals of stress and tangent."""

    def __init__(self, nodes_mm: Floats, triangles: NDArray[np.int64], thickness_mm: float):
        region = felupe.RegionTriangle(felupe.Mesh(nodes_mm, triangles, "triangle"))
        self.field = felupe.FieldContainer([felupe.Field(region, dim=2)])
        self.volumes_mm3 = thickness_mm * region.dV

    def deformations(self, places: Floats) -> Floats:
        self.field[0].values = places
        return self.field[0].grad()

    def forces(self, stress: Floats) -> Floats:
        form = felupe.IntegralForm([stress], v=self.field, dV=self.volumes_mm3)
        return form.assemble().toarray().ravel()

    def stiffness(self, tangent: Floats) -> Any:
        form = felupe.IntegralForm([tangent], v=self.field, dV=self.volumes_mm3, u=self.field)
        return form.assemble()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Task:
    """One closure as a peer gets it, all of it made before the clock runs."""

    peer: Peer
    prepared: Prepared
    shear_n_per_mm2: float
    ties: Any  #: (2 n, f) T, x = T q
    ties_turned: Any  #: (f, 2 n)
    hold_of_dof: Floats  #: (2 n,) N/mm
    hold: Any  #: (f, f) the same for the unknowns
    solve: Solve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """What a peer found."""

    positions_mm: Floats  #: (n, 2)
    iterations: int


def task_of(peer: type, prepared: Prepared, skin: Skin, *, ordered: bool) -> Task:
    """Give a closure to a peer.

    Parameters
    ----------
    peer : type
        ScikitFem or FElupe.
    prepared : Prepared
        The sheet.
    skin : Skin
        Without fibres, with the full law under compression.
    ordered : bool
        Whether the unknowns come in our order of elimination, which SuperLU then keeps;
        else in the order of the mesh, and SuperLU finds its own.
    """
    if skin.fibre_kpa != 0 or skin.slack_ratio != 1:
        raise ValueError("The peers know the neo-Hookean sheet alone.")
    stretch = in_plan(prestretch_ratio(skin), skin.axis_deg)
    free_of_stress = np.ascontiguousarray(prepared.sheet.nodes_mm @ np.linalg.inv(stretch).T)
    ties = _ties(prepared.pattern.node_dofs if ordered else _mesh_dofs(prepared), prepared)
    hold_of_dof = np.repeat(skin.foundation_n_per_mm3 * prepared.held_mm2, 2)
    return Task(
        peer=peer(free_of_stress, prepared.triangles, skin.thickness_mm),
        prepared=prepared,
        shear_n_per_mm2=skin.shear_kpa * N_PER_MM2_PER_KPA,
        ties=ties,
        ties_turned=ties.T.tocsr(),
        hold_of_dof=hold_of_dof,
        hold=sparse.csr_matrix(ties.T @ sparse.diags(hold_of_dof) @ ties),
        solve=_solved_in_order if ordered else linalg.spsolve,
    )


def close_by_peer(task: Task) -> Balance:
    """Close the wound as `close_prepared` does, with the peer's sums and SuperLU."""
    limits, places = SolverLimits(), task.prepared.start_mm
    f = task.peer.deformations(places)
    energy = _energy(task, places, f)
    tolerance = 0.0
    for iteration in range(limits.most_iterations):
        stress, cofactor, cube = _stress(f, task.shear_n_per_mm2)
        pull = task.hold_of_dof * (places - task.prepared.sheet.nodes_mm).ravel()
        forces = task.peer.forces(stress) + pull
        if iteration == 0:
            tolerance = limits.tolerance_ratio * _forces_at_work_n(task, forces)
        load = task.ties_turned @ forces
        if np.abs(load).max() <= tolerance:
            return Balance(positions_mm=places, iterations=iteration)
        tangent = _tangent(f, cofactor, cube, task.shear_n_per_mm2)
        step = -task.solve(_tied(task, task.peer.stiffness(tangent)), load)
        places, f, energy = _searched(task, places, energy, (step, float(load @ step)))
    raise RuntimeError("the peer found no balance")


def _searched(
    task: Task, places: Floats, energy: float, way: tuple[Floats, float]
) -> tuple[Floats, Floats, float]:
    """Return places, deformation gradients and energy after a step that lowers it enough."""
    step, slope = way
    if not slope < 0:
        raise RuntimeError("the peer's step leads uphill")
    move, share, slack = (task.ties @ step).reshape(-1, 2), 1.0, ROUNDING * abs(energy)
    while share > SHORTEST_STEP:
        trial = places + share * move
        f = task.peer.deformations(trial)
        lower = _energy(task, trial, f)
        if lower <= energy + SUFFICIENT_DECREASE * share * slope + slack:
            return trial, f, lower
        share /= 2
    raise RuntimeError("the peer's line search found nothing")


def _energy(task: Task, places: Floats, f: Floats) -> float:
    determinant = f[0, 0] * f[1, 1] - f[0, 1] * f[1, 0]
    if not determinant.min() > 0:
        return np.inf
    first = np.einsum("ij...,ij...->...", f, f) + 1 / determinant**2 - 3
    off = (places - task.prepared.sheet.nodes_mm).ravel()
    held = 0.5 * float((task.hold_of_dof * off) @ off)
    return 0.5 * task.shear_n_per_mm2 * float(np.vdot(task.peer.volumes_mm3, first)) + held


def _stress(f: Floats, shear: float) -> tuple[Floats, Floats, Floats]:
    """Return the stress, the cofactors of F and 1 / det F^3."""
    cube = 1 / (f[0, 0] * f[1, 1] - f[0, 1] * f[1, 0]) ** 3
    cofactor = np.array([[f[1, 1], -f[1, 0]], [-f[0, 1], f[0, 0]]])
    return shear * (f - cube * cofactor), cofactor, cube


def _tangent(f: Floats, cofactor: Floats, cube: Floats, shear: float) -> Floats:
    determinant = f[0, 0] * f[1, 1] - f[0, 1] * f[1, 0]
    scaled = (3 * shear * cube / determinant) * cofactor
    tangent = np.einsum("ij...,kl...->ijkl...", scaled, cofactor)
    tangent.reshape(4, 4, *f.shape[2:])[np.arange(4), np.arange(4)] += shear
    turned = shear * cube
    for one, other, sign in (((0, 0), (1, 1), -1), ((0, 1), (1, 0), 1)):
        tangent[one + other] += sign * turned
        tangent[other + one] += sign * turned
    return tangent


def _forces_at_work_n(task: Task, forces: Floats) -> float:
    areas_mm2 = task.prepared.areas_mm2
    thickness_mm = task.peer.volumes_mm3.sum() / areas_mm2.sum()
    sheared = task.shear_n_per_mm2 * thickness_mm * np.sqrt(areas_mm2.mean())
    return float(np.abs(forces).mean() + sheared)


def _tied(task: Task, stiffness: Any) -> Any:
    return (task.ties_turned @ stiffness @ task.ties + task.hold).tocsc()


def _ties(node_dofs: NDArray[np.int64], prepared: Prepared) -> Any:
    size = prepared.pattern.size
    free = np.flatnonzero(node_dofs < size)
    rows = (2 * free[:, None] + [0, 1]).ravel()
    columns = (node_dofs[free][:, None] + [0, 1]).ravel()
    shape = (2 * len(node_dofs), size)
    return sparse.csr_matrix((np.ones(len(rows)), (rows, columns)), shape)


def _mesh_dofs(prepared: Prepared) -> NDArray[np.int64]:
    """Return the number of each node's x in the order of the mesh; that of the end if held."""
    ties, size = prepared.ties, prepared.pattern.size
    numbers = np.full(len(ties.free), size, dtype=np.int64)
    numbers[ties.free] = 2 * np.arange(size // 2)
    return numbers[ties.joined]


def _solved_in_order(matrix: Any, load: Floats) -> Floats:
    """Solve in the order that the unknowns have, with pivots from the diagonal."""
    options = {"SymmetricMode": True}
    factor = linalg.splu(matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, options=options)
    return np.asarray(factor.solve(load))


@skfem.BilinearForm
def _rise(u: Any, v: Any, w: Any) -> Floats:
    return np.einsum("ij...,ijkl...,kl...", v.grad, w.tangent, u.grad)


@skfem.LinearForm
def _work(v: Any, w: Any) -> Floats:
    return np.einsum("ij...,ij...", v.grad, w.stress)
