"""The cut of a plan on the slices of its scan, also while a hand moves it."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np
from fastapi import APIRouter
from pydantic import Field

from crena.app.scan_files import picture_from
from crena.app.server.cases import CHANGED
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.grounds import Moveable
from crena.app.server.previews import MovedAsked, moveable, plan_asked
from crena.app.server.scans import EARLIER_SCAN, NO_SCAN
from crena.draw.scan_outlines import Pane, cut_outlines
from crena.geometry.frames import to_lps_mm
from crena.geometry.slicing import to_voxels
from crena.planning.cut_body import cut_body
from crena.records import (
    ConflictError,
    MissingError,
    Record,
    ScanPicture,
    SkinFrame,
    SliceOutline,
    SliceView,
    ViewName,
)
from crena.sinus.mapping import frame_of
from crena.store.files import stored_file

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["plans"])

SliceNumber = Annotated[int, Field(ge=0, lt=10_000)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceAsked(MovedAsked):
    """A plan, all that was done to it, and the slice that is looked at."""

    view: ViewName = ViewName.ACROSS
    slice_number: SliceNumber = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSlice(Record):
    """What one slice of the scan cuts of a plan."""

    outlines: tuple[SliceOutline, ...]
    nearest_voxel: tuple[float, float, float]  #: on a tract or cavity, where a wall comes nearest


@routes.post("/preview/slice", responses=CHANGED)
def get_cut_slice(case_id: str, asked: SliceAsked, desk: AtDesk) -> CutSlice:
    """Draw a moved plan's cut, margin and fascia on one slice of its scan: nothing is stored."""
    known = moveable(desk, case_id)
    plan = plan_asked(known, asked.plan, asked.code)
    limits = asked.limits or known.case.limits
    pane = _pane(desk, known, asked)
    body = cut_body(plan, asked.moves, limits, known.ground)
    margin_mm = limits.least_clearance_mm
    nearest = to_voxels(pane.picture.affine_mm, to_lps_mm(pane.frame, [body.nearest_mm]))
    i, j, k = np.round(nearest[0], 2).tolist()
    return CutSlice(
        outlines=cut_outlines(pane, body.solid, known.plan_set.tract_map, margin_mm),
        nearest_voxel=(i, j, k),
    )


def _pane(desk: Desk, known: Moveable, asked: SliceAsked) -> Pane:
    """Return the slice that is asked for, with the frame that the plans were made in.

    Raises
    ------
    MissingError
        If there is no scan to draw on, or no such slice.
    ConflictError
        If scan, marks or probing were changed after the plans were made.
    """
    if known.scan is None:
        raise MissingError(NO_SCAN)
    _refuse_displaced(known)
    picture = _picture(desk, known.scan.picture_sha256)
    view = _view(picture, asked)
    number = asked.slice_number
    return Pane(picture=picture, frame=_frame(known), view=view, first=number, last=number)


def _frame(known: Moveable) -> SkinFrame:
    if known.case.clicks is None:
        raise MissingError("Nothing is clicked on the scan yet. Click each tract's two ends.")
    return frame_of(known.case.clicks)


def _refuse_displaced(known: Moveable) -> None:
    """Refuse plans that may lie elsewhere in the scan as it is marked now."""
    if not known.placed:
        raise ConflictError(
            "The scan, its marks or the probing were changed after these plans were made, so they "
            "are not drawn on the slices. Plan the case again to see them there."
        )


def _picture(desk: Desk, sha256: str) -> ScanPicture:
    if not sha256:
        raise MissingError(EARLIER_SCAN)
    return desk.grounds.picture(sha256, lambda: picture_from(stored_file(desk.store, sha256)))


def _view(picture: ScanPicture, asked: SliceAsked) -> SliceView:
    for view in picture.views:
        if view.name is asked.view and asked.slice_number < view.slices:
            return view
    raise MissingError("The scan has no slice of this number.")
