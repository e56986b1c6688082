"""The closed wound: what the solver hands over, and when it hands over nothing."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.material import Skin
from crena.mechanics.sheet import Sheet
from crena.records import CrenaError, Record

Floats = NDArray[np.float64]


class Status(StrEnum):
    """How a closure ended; only the first gives figures."""

    CONVERGED = "converged"
    NOT_CONVERGED = "not converged"
    NO_PRESTRETCH = "no prestretch"
    INVERTED = "inverted"
    NOT_FINITE = "not finite"
    SINGULAR = "singular"
    CANCELLED = "cancelled"
    TOO_LONG = "too long"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolverLimits(Record):
    """When the solver is content, and when it gives up."""

    tolerance_ratio: float = 1e-9  #: largest force out of balance, over the forces at work
    most_iterations: int = 150
    most_seconds: float = 600.0  #: by the clock that is handed in; without one, no limit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClosureState(Record):
    """Skin in balance with its seams closed, or the reason why there is none."""

    sheet: Sheet
    skin: Skin
    status: Status
    reason: str  #: one sentence
    iterations: int
    convex_steps: int  #: steps that needed the positive-definite stiffness
    residual_n: float  #: largest force out of balance on a node; infinite if unknown
    tolerance_n: float  #: what it had to come below
    energy_n_mm: float | None  #: None unless converged
    positions_mm: Floats | None  #: (n, 2), tied nodes at one place; None unless converged
    prestretch: Floats | None  #: (2, 2) stress-free to living skin; None if not found


def converged_mm(state: ClosureState) -> Floats:
    """Return the positions of a converged closure, and refuse any other.

    Parameters
    ----------
    state : ClosureState
        What the solver handed over.

    Raises
    ------
    CrenaError
        If the closure did not converge; the sentence is the solver's reason.
    """
    if state.status is not Status.CONVERGED or state.positions_mm is None:
        raise CrenaError(f"This closure has no figures: {state.reason}")
    return state.positions_mm
