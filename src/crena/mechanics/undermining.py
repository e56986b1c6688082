"""What undermining, the run of the tension lines and the side of the flap do to the pull.

Each table has one mesh, one start and one order of elimination; only what is asked about
changes from row to row.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._reach import outline_within_mm
from crena.mechanics._seeds import inside
from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.material import Skin
from crena.mechanics.mesh import mesh_closure, mirrored
from crena.mechanics.prepared import Prepared, freed, prepare
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_prepared
from crena.records import Closure, InputError, Polyline2, Record, Side
from crena.records.shapes import line2

LEAST_WIDTH_MM, MOST_WIDTH_MM = 1.0, 200.0
"""Widths of undermining that are drawn, beside none at all (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull(Record):
    """What the sutures carry; no figure from a run that failed."""

    status: Status
    reason: str
    total_n: float | None
    donor_share_ratio: float | None  #: None also where there is no donor place
    energy_n_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WidthPull(Record):
    """The pull at one width of undermining."""

    width_mm: float
    pull: Pull


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisPull(Record):
    """The pull at one run of the tension lines."""

    axis_deg: float
    pull: Pull


@dataclass(frozen=True, slots=True, kw_only=True)
class SidePull(Record):
    """The pull with the flap on one side."""

    donor_side: Side | None  #: None where the closure has no donor
    as_drawn: bool  #: False for its mirror image in x = 0, wound and all
    pull: Pull


def with_undermining(closure: Closure, width_mm: float) -> Closure:
    """Return a closure with all skin freed that lies within a width of its cuts.

    Parameters
    ----------
    closure : Closure
        Any construction.
    width_mm : float
        From the border of the removed skin and from every incision; 0 frees nothing beyond
        the flaps, which are raised in any case.

    Raises
    ------
    InputError
        If the width is neither 0 nor within 1 to 200 mm, or there is no cut.
    """
    return replace(closure, undermined_mm=_zone_mm(closure, width_mm))


def pull_by_width(
    closure: Closure, skin: Skin, widths_mm: Sequence[float]
) -> tuple[WidthPull, ...]:
    """Return the pull for each width of undermining.

    Parameters
    ----------
    closure : Closure
        What is cut, moved and sutured; its own undermined zone does not count.
    skin : Skin
        One guess.
    widths_mm : sequence of float
        As in `with_undermining`.

    Raises
    ------
    InputError
        If a width is out of range, or the closure cannot be meshed.
    """
    zones = [_zone_mm(closure, width) for width in widths_mm]
    prepared = _prepared(closure)
    states = [close_prepared(freed(prepared, _inside(prepared, zone)), skin) for zone in zones]
    return tuple(
        WidthPull(width_mm=width, pull=pull_of(state))
        for width, state in zip(widths_mm, states, strict=True)
    )


def pull_by_axis(closure: Closure, skin: Skin, axes_deg: Sequence[float]) -> tuple[AxisPull, ...]:
    """Return the pull for each run of the tension lines.

    Parameters
    ----------
    closure : Closure
        What is cut, moved and sutured.
    skin : Skin
        One guess; its own axis does not count.
    axes_deg : sequence of float
        As `Skin.axis_deg`.

    Raises
    ------
    InputError
        If the closure cannot be meshed.
    """
    prepared = _prepared(closure)
    states = [close_prepared(prepared, replace(skin, axis_deg=axis)) for axis in axes_deg]
    return tuple(
        AxisPull(axis_deg=axis, pull=pull_of(state))
        for axis, state in zip(axes_deg, states, strict=True)
    )


def pull_by_side(closure: Closure, skin: Skin) -> tuple[SidePull, SidePull]:
    """Return the pull as drawn, and mirrored in x = 0 on the same skin.

    Parameters
    ----------
    closure : Closure
        What is cut, moved and sutured. Its mirror image has the wound mirrored too: for a
        wound off the midline that is another wound.
    skin : Skin
        One guess; it is not mirrored.

    Raises
    ------
    InputError
        If the closure cannot be meshed.
    """
    prepared = _prepared(closure)
    drawn = close_prepared(prepared, skin)
    other = close_prepared(prepare(mirrored(prepared.sheet)), skin)
    side = closure.donor_side
    return (
        SidePull(donor_side=side, as_drawn=True, pull=pull_of(drawn)),
        SidePull(donor_side=side and side.other, as_drawn=False, pull=pull_of(other)),
    )


def pull_of(state: ClosureState) -> Pull:
    """Return the pull of a closure, or the reason why it has none.

    Parameters
    ----------
    state : ClosureState
        What the solver handed over.
    """
    found = suture_forces(state) if state.status is Status.CONVERGED else None
    return Pull(
        status=state.status,
        reason=state.reason,
        total_n=found.total_n if found else None,
        donor_share_ratio=found.donor_share_ratio if found else None,
        energy_n_mm=state.energy_n_mm,
    )


def _prepared(closure: Closure) -> Prepared:
    return prepare(mesh_closure(closure, seam_step_mm=SEAM_STEP_MM, sheet_mm=SHEET_MM))


def _zone_mm(closure: Closure, width_mm: float) -> Polyline2:
    if width_mm == 0:
        return ()
    if not LEAST_WIDTH_MM <= width_mm <= MOST_WIDTH_MM:
        raise InputError(
            f"Undermining of {width_mm:g} mm cannot be drawn. "
            f"Give 0, or {LEAST_WIDTH_MM:g} to {MOST_WIDTH_MM:g} mm."
        )
    ring = closure.removed_mm
    lines = (*((ring + ring[:1],) if ring else ()), *closure.incisions_mm)
    if not lines:
        raise InputError("The closure has no cut to undermine from. Draw an outline.")
    return line2(outline_within_mm(lines, width_mm))


def _inside(prepared: Prepared, zone: Polyline2) -> NDArray[np.bool_]:
    sheet = prepared.sheet
    middles = sheet.nodes_mm[sheet.triangles].mean(axis=1)
    return inside(middles, zone) | (sheet.flap > 0)
