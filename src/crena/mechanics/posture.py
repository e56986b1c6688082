"""Sitting: the closed wound while the buttock stretches, and what opens if a seam gives way.

The surgeon states the stretch; the model does not know the body under the skin. The closed
sheet is stretched as a whole, its border is held there, and the balance is sought anew.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._places import places_of
from crena.mechanics.closed import ClosureState, SolverLimits, Status, converged_mm
from crena.mechanics.material import Skin
from crena.mechanics.prepared import prepare
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.mechanics.readings import SutureForces, suture_forces
from crena.mechanics.sheet import Sheet
from crena.mechanics.solver import close_prepared
from crena.records import InputError, Posture, Record
from crena.records.skins import LEAST_STRETCH, MOST_STRETCH

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamInPosture(Record):
    """One seam lying and sitting."""

    name: str
    lying_n: float  #: its line, without the ends
    sitting_n: float
    sitting_over_lying_ratio: float | None  #: sitting over lying; None if it carries nothing lying


@dataclass(frozen=True, slots=True, kw_only=True)
class Gape(Record):
    """What opens if the stitches of one seam give way while sitting."""

    seam: str
    gape_mm: float | None  #: largest distance of places that were sutured; None without a balance
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting(Record):
    """A closed wound in a posture; no figure from a run that failed."""

    status: Status
    reason: str
    seams: tuple[SeamInPosture, ...]
    lying_n: float  #: all sutures
    sitting_n: float | None
    sitting_over_lying_ratio: float | None
    gape: Gape | None  #: of the seam that carries most per mm while sitting


def sitting(state: ClosureState, posture: Posture, limits: SolverLimits | None = None) -> Sitting:
    """Compare the sutures of a closed wound lying and sitting.

    Parameters
    ----------
    state : ClosureState
        The wound closed lying; it must have converged.
    posture : Posture
        The stretch.
    limits : SolverLimits, optional
        When to be content and when to give up.

    Raises
    ------
    CrenaError
        If the closure did not converge, or a stretch is out of range.

    Examples
    --------
    >>> Posture(across_ratio=1.1).deep_ratio
    1.0
    """
    lying = suture_forces(state)
    stretched = in_posture(state, posture, limits)
    if stretched.status is not Status.CONVERGED:
        return Sitting(
            status=stretched.status, reason=stretched.reason, seams=(),
            lying_n=lying.total_n, sitting_n=None, sitting_over_lying_ratio=None, gape=None,
        )  # fmt: skip
    seated = suture_forces(stretched)
    most = max(seated.seams, key=lambda s: s.line_n / s.length_mm, default=None)
    return Sitting(
        status=stretched.status,
        reason=stretched.reason,
        seams=_seams(lying, seated),
        lying_n=lying.total_n,
        sitting_n=seated.total_n,
        sitting_over_lying_ratio=_times(lying.total_n, seated.total_n),
        gape=gape_of(stretched, most.name, limits) if most else None,
    )


def in_posture(
    state: ClosureState, posture: Posture, limits: SolverLimits | None = None
) -> ClosureState:
    """Return a closed wound in balance in a posture.

    Parameters
    ----------
    state : ClosureState
        The wound closed lying; it must have converged.
    posture : Posture
        The stretch.
    limits : SolverLimits, optional
        When to be content and when to give up.

    Returns
    -------
    ClosureState
        Whose sheet is the skin where the deep tissue of the posture would hold it, with the
        prestretch and the hold per area that go with that sheet: forces, traction and scar
        are read from it as from any other.

    Raises
    ------
    CrenaError
        If the closure did not converge, or a stretch is out of range.

    Notes
    -----
    Border nodes go from X to A X, A the stretch; the fascia holds a node at B X, B = 1 +
    share (A - 1). A sheet B X with the prestretch B F0 and the hold k / det B has, place by
    place, the energy of the sheet X with the prestretch F0 that is held at B X.
    """
    places, whole = converged_mm(state), _stretch(posture)
    deep = 1 + posture.deep_ratio * (whole - 1)
    sheet = replace(state.sheet, nodes_mm=state.sheet.nodes_mm * deep)
    per_area = state.skin.foundation_n_per_mm3 / float(deep.prod())
    skin = replace(state.skin, foundation_n_per_mm3=per_area)
    return _balance(sheet, skin, (deep[:, None] * _prestretch(state), places * whole), limits)


def gape_of(state: ClosureState, seam: str, limits: SolverLimits | None = None) -> Gape:
    """Say how far a seam gapes if its stitches give way and all others hold.

    Parameters
    ----------
    state : ClosureState
        A wound that converged, lying or in a posture.
    seam : str
        Name of the seam that is let go.
    limits : SolverLimits, optional
        When to be content and when to give up.

    Returns
    -------
    Gape
        The fascia goes on holding where the skin is not undermined. Edges that slide over
        each other count like edges that part.

    Raises
    ------
    CrenaError
        If the closure did not converge, or there is no such seam.
    """
    line = next((each for each in places_of(state.sheet) if each.name == seam), None)
    if line is None:
        raise InputError(f"There is no seam {seam}. Choose one of the closure's seams.")
    try:
        found = _let_go(state, seam, limits)
    except InputError as refusal:
        return Gape(seam=seam, gape_mm=None, reason=str(refusal))
    if found.status is not Status.CONVERGED:
        return Gape(seam=seam, gape_mm=None, reason=found.reason)
    after = converged_mm(found)
    gaps = [
        float(np.linalg.norm(after[fixed][:, None] - after[moved][None], axis=2).max())
        for fixed, moved in zip(line.fixed, line.moved, strict=True)
    ]
    return Gape(seam=seam, gape_mm=max(gaps), reason=found.reason)


def _let_go(state: ClosureState, seam: str, limits: SolverLimits | None) -> ClosureState:
    kept = tuple(each for each in state.sheet.seams if each.name != seam)
    sheet = replace(state.sheet, seams=kept)
    return _balance(sheet, state.skin, (_prestretch(state), converged_mm(state)), limits)


def _balance(
    sheet: Sheet, skin: Skin, at: tuple[Floats, Floats], limits: SolverLimits | None
) -> ClosureState:
    """Return the balance of a sheet with a prestretch (2, 2) that is given, from a start.

    The solver finds the prestretch of a skin itself: what the given one has beyond it is put
    into the shape gradients and the areas, which leaves every triangle its energy.
    """
    prestretch, start = at
    beyond = prestretch @ np.linalg.inv(in_plan(prestretch_ratio(skin), skin.axis_deg))
    plain = prepare(sheet)
    prepared = replace(
        plain,
        gradients=np.ascontiguousarray(plain.gradients @ beyond),
        areas_mm2=plain.areas_mm2 / np.linalg.det(beyond),
    )
    found = close_prepared(prepared, skin, limits=limits, start=start)
    return replace(found, prestretch=prestretch)


def _prestretch(state: ClosureState) -> Floats:
    if state.prestretch is None:
        raise InputError("This closure has no prestretch. Close the wound again.")
    return state.prestretch


def _stretch(posture: Posture) -> Floats:
    """Return the stretch along x and y (2,), if it is one that is looked at."""
    stretch = np.array([posture.across_ratio, posture.along_ratio])
    for value in stretch:
        if not LEAST_STRETCH <= value <= MOST_STRETCH:
            raise InputError(
                f"A stretch of {value:g} is out of range. "
                f"Give {LEAST_STRETCH:g} to {MOST_STRETCH:g} times the length lying."
            )
    if not 0 <= posture.deep_ratio <= 1:
        raise InputError(
            f"The deep tissue cannot take part by {posture.deep_ratio:g}. Give 0 to 1."
        )
    return stretch


def _seams(lying: SutureForces, seated: SutureForces) -> tuple[SeamInPosture, ...]:
    return tuple(
        SeamInPosture(
            name=before.name, lying_n=before.line_n, sitting_n=after.line_n,
            sitting_over_lying_ratio=_times(before.line_n, after.line_n),
        )
        for before, after in zip(lying.seams, seated.seams, strict=True)
    )  # fmt: skip


def _times(before: float, after: float) -> float | None:
    return after / before if before > 0 else None
