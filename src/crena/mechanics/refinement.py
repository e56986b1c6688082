"""How far the mesh is to blame: the same wound on two meshes, and what the difference says."""

from collections.abc import Callable
from dataclasses import dataclass

from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.material import Skin
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.midlines import midlines
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_wound
from crena.records import Closure, Record

FINER = 1.6
"""Step and growth of the usual mesh over those of the finer one; some 2.5 times the nodes."""

GRADING_RATIO = 0.14
"""Growth of the wanted edge length on the usual mesh, the default of `mesh_closure`; the
finer mesh must grow more slowly too, or the skin away from the cuts stays as it was."""

ERROR_OVER_DIFFERENCE = FINER / (FINER - 1)
"""Error of the usual mesh over the difference of both if the error goes with the step, as it
does at corners: e = c h, so that c h - c h / 1.6 is the difference."""

LEAST_VALUE = 1e-9
"""Readings below this, in their unit, have no relative error (rounding)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RefinedReading(Record):
    """One reading on both meshes, in its own unit."""

    name: str
    unit: str
    value: float  #: on the usual mesh
    finer_value: float
    error_value: float  #: estimated error of the usual mesh
    error_ratio: float | None  #: the same over the finer value; None where that is nought


@dataclass(frozen=True, slots=True, kw_only=True)
class Refinement(Record):
    """A closure on two meshes; no figure if either run failed."""

    status: Status
    reason: str
    nodes: int
    finer_nodes: int
    readings: tuple[RefinedReading, ...]


def refinement_of(
    closure: Closure, skin: Skin, *, seam_step_mm: float = SEAM_STEP_MM
) -> Refinement:
    """Estimate the error of the mesh in the readings of a closure.

    Parameters
    ----------
    closure : Closure
        What is cut, moved and sutured.
    skin : Skin
        One guess.
    seam_step_mm : float
        Step of the usual mesh; that of the finer one is 1.6 times shorter.

    Returns
    -------
    Refinement
        Total force, the donor's share if there is a donor, energy, and the least distance
        of the scar from the sagittal reference.

    Raises
    ------
    CrenaError
        If the closure cannot be meshed.

    Notes
    -----
    Richardson's extrapolation with the order 1 (Roache, J Fluids Eng 1994;116:405, from
    memory, asks for two meshes and a stated order). It is an estimate and no bound: where
    two meshes agree by chance it is too small.
    """
    return refined(closure, _closed(closure, skin, seam_step_mm, GRADING_RATIO), seam_step_mm)


def refined(
    closure: Closure, usual: ClosureState, seam_step_mm: float = SEAM_STEP_MM
) -> Refinement:
    """Estimate the error of the mesh in the readings of a wound that is closed already.

    Parameters
    ----------
    closure : Closure
        What was cut, moved and sutured.
    usual : ClosureState
        Closed on a mesh of that step, growing as `mesh_closure` lets it by default.
    seam_step_mm : float
        Its step; that of the finer mesh is 1.6 times shorter.

    Returns
    -------
    Refinement
        As `refinement_of`.

    Raises
    ------
    CrenaError
        If the closure cannot be meshed.
    """
    finer = _closed(closure, usual.skin, seam_step_mm / FINER, GRADING_RATIO / FINER)
    failed = next((s for s in (usual, finer) if s.status is not Status.CONVERGED), None)
    return Refinement(
        status=failed.status if failed else usual.status,
        reason=failed.reason if failed else usual.reason,
        nodes=len(usual.sheet.nodes_mm),
        finer_nodes=len(finer.sheet.nodes_mm),
        readings=() if failed else _compared(usual, finer),
    )


Reading = Callable[[ClosureState], float | None]

READINGS: tuple[tuple[str, str, Reading], ...] = (
    ("total force", "N", lambda state: suture_forces(state).total_n),
    ("donor share", "", lambda state: suture_forces(state).donor_share_ratio),
    ("energy", "N mm", lambda state: state.energy_n_mm),
    ("scar to the sagittal reference", "mm", lambda state: midlines(state).sagittal.least_mm),
)
"""What is compared: name, unit, and how it is read."""


def _closed(closure: Closure, skin: Skin, step_mm: float, grading_ratio: float) -> ClosureState:
    sheet = mesh_closure(
        closure, seam_step_mm=step_mm, sheet_mm=SHEET_MM, grading_ratio=grading_ratio
    )
    return close_wound(sheet, skin)


def _compared(usual: ClosureState, finer: ClosureState) -> tuple[RefinedReading, ...]:
    read = [(name, unit, of(usual), of(finer)) for name, unit, of in READINGS]
    return tuple(
        _refined(name, unit, value, near)
        for name, unit, value, near in read
        if value is not None and near is not None
    )


def _refined(name: str, unit: str, value: float, finer_value: float) -> RefinedReading:
    error = ERROR_OVER_DIFFERENCE * abs(value - finer_value)
    known = abs(finer_value) > LEAST_VALUE
    return RefinedReading(
        name=name,
        unit=unit,
        value=value,
        finer_value=finer_value,
        error_value=error,
        error_ratio=error / abs(finer_value) if known else None,
    )
