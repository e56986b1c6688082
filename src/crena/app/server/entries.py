"""Places pointed at on the drawing, turned into the entries that say the same."""

from fastapi import APIRouter

from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.maps import scanned_map
from crena.geometry.unrolling import SkinMap, skin_map
from crena.records.placings import PlacedPit, PlacedTip, PlacedVerge, Pointed, PointedTip
from crena.records.shapes import Point2
from crena.sinus.placing import pit_at, tip_at, verge_at
from crena.sinus.probing import entered_skin
from crena.store.revisions import read_case

routes = APIRouter(prefix="/api/entries", tags=["entries"])


@routes.post("/pit")
def place_pit(at: Pointed) -> PlacedPit:
    """Return the entries of a pit at a place."""
    return pit_at(_point(at))


@routes.post("/anal-verge")
def place_anal_verge(at: Pointed) -> PlacedVerge:
    """Return the entry of the anal verge at the height of a place."""
    return verge_at(_point(at))


@routes.post("/tip", responses=MISSING)
def place_tip(pointed: PointedTip, desk: AtDesk) -> PlacedTip:
    """Return length and direction of a probe whose tip lies under a place."""
    return tip_at(_point(pointed.at), pointed.pit, pointed.tip_depth_mm, _skin(desk, pointed))


def _skin(desk: Desk, pointed: PointedTip) -> SkinMap:
    """Return the skin as the scan of the case shows it, else as it was entered."""
    if pointed.case_id:
        dossier = read_case(desk.store, pointed.case_id, desk.author("to place a tip")).dossier
        scanned = scanned_map(desk, dossier)
        if scanned is not None and scanned.tract_map is not None:
            return skin_map(scanned.tract_map.skin)
    return skin_map(entered_skin(pointed.body))


def _point(at: Pointed) -> Point2:
    return at.across_mm, at.along_mm
