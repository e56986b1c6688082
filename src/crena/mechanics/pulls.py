"""The pull of one closure on many skins: one mesh, one factor, a row for each skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.material import ASSUMED_SKIN, Skin
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.mirrors import from_the_right
from crena.mechanics.prepared import Prepared, prepare
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_prepared
from crena.records import Closure, CrenaError, Record

Floats = NDArray[np.float64]

SEAM_STEP_MM = 5.0
"""Distance of suture nodes; about 1,100 nodes, total force within some 3 % of a finer mesh
(neo-Hookean; more with stiff fibres)."""

SHEET_MM = 320.0
"""Side of the square sheet round the wound."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pulls(Record):
    """Forces on each skin; NaN where the run did not converge."""

    seams: tuple[str, ...]
    donor: tuple[bool, ...]  #: (k,)
    seam_forces_n: Floats  #: (n, k)
    totals_n: Floats  #: (n,)
    donor_shares_ratio: Floats  #: (n,) 0 where there is no donor place
    reasons: tuple[str, ...]  #: of the runs that failed


def pulls_of(
    closure: Closure,
    skins: tuple[Skin, ...],
    *,
    seam_step_mm: float = SEAM_STEP_MM,
    sheet_mm: float = SHEET_MM,
) -> Pulls:
    """Close one wound on every skin.

    Parameters
    ----------
    closure : Closure
        What is cut, moved and sutured.
    skins : tuple of Skin
        Guesses.
    seam_step_mm : float
        Distance of suture nodes.
    sheet_mm : float
        Side of the square sheet round the wound.

    Returns
    -------
    Pulls
        A failed run is a row of NaN and a reason, never dropped.

    Notes
    -----
    Every skin starts from where ASSUMED_SKIN came to rest, which saves a third of the steps.
    A row is the same to the last bit whichever skins are closed with it, and for the mirror
    image of closure and skins.
    """
    closure, skins = from_the_right(closure, skins)
    shape = len(skins), len(closure.seams)
    totals, shares = np.full(len(skins), np.nan), np.full(len(skins), np.nan)
    forces = np.full(shape, np.nan)
    reasons: list[str] = []
    try:
        prepared = prepare(mesh_closure(closure, seam_step_mm=seam_step_mm, sheet_mm=sheet_mm))
        middle = close_prepared(prepared, ASSUMED_SKIN)
        states = [_closed(prepared, skin, middle) for skin in skins]
    except CrenaError as refusal:
        states, reasons = [], [str(refusal)] * len(skins)
    for n, state in enumerate(states):
        if state.status is not Status.CONVERGED:
            reasons.append(state.reason)
            continue
        found = suture_forces(state)
        totals[n], shares[n] = found.total_n, found.donor_share_ratio or 0.0
        forces[n] = [seam.line_n for seam in found.seams]
    return Pulls(
        seams=tuple(seam.name for seam in closure.seams),
        donor=tuple(seam.donor for seam in closure.seams),
        seam_forces_n=forces,
        totals_n=totals,
        donor_shares_ratio=shares,
        reasons=tuple(reasons),
    )


def _closed(prepared: Prepared, skin: Skin, near: ClosureState) -> ClosureState:
    """Close on one skin from where another came to rest; if that fails, from the beginning."""
    if near.positions_mm is not None:
        state = close_prepared(prepared, skin, start=near.positions_mm)
        if state.status is Status.CONVERGED:
            return state
    return close_prepared(prepared, skin)
