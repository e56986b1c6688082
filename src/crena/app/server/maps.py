"""The map of the disease as it is known now, and what is missing before a plan."""

from datetime import date

from fastapi import APIRouter

from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.plans import plan_set_of
from crena.app.server.scans import scan_map_of
from crena.app.server.standing import are_old, map_hash
from crena.draw.disease import disease_shape
from crena.planning.readiness import ScannedMap, known_map
from crena.records import Dossier
from crena.records.tracts import DiseaseShape, KnownMap
from crena.store.revisions import read_case

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["map"])


@routes.get("/map", responses=MISSING)
def get_map(case_id: str, desk: AtDesk) -> KnownMap:
    """Return the map as known now, or why there is none; the timing gate; what is missing."""
    return _known(desk, case_id)


@routes.get("/map/shape", responses=MISSING)
def get_shape(case_id: str, desk: AtDesk) -> DiseaseShape:
    """Return the map as known now as outlines on the skin laid flat; none without a map."""
    found = _known(desk, case_id).tract_map
    return disease_shape(found, None) if found else DiseaseShape(parts=(), spots=(), ring=())


def _known(desk: Desk, case_id: str) -> KnownMap:
    found = read_case(desk.store, case_id, desk.author("map"))
    scanned = scanned_map(desk, found.dossier)
    return known_map(found.dossier.case, date.today(), number=found.number, scanned=scanned)


def scanned_map(desk: Desk, dossier: Dossier) -> ScannedMap | None:
    """Return the map that was made of the scan, by itself or with the plans; the one not old."""
    if dossier.scan is None:
        return None
    if dossier.map is not None and (_is_current(dossier) or dossier.plans is None):
        found = scan_map_of(desk, dossier.map).tract_map
        return ScannedMap(tract_map=found, old=not _is_current(dossier))
    if dossier.plans is None:
        return ScannedMap(tract_map=None, old=False)
    return ScannedMap(tract_map=plan_set_of(desk, dossier).tract_map, old=are_old(dossier))


def _is_current(dossier: Dossier) -> bool:
    return dossier.map is not None and dossier.map.inputs_hash == map_hash(dossier)
