"""The map of the disease: pits, tracts, cavities, skin and floor, in the skin frame."""

from dataclasses import dataclass

from crena.records.base import Record
from crena.records.shapes import Point2, Point3, Polyline2, Polyline3
from crena.records.sides import Origin
from crena.records.timings import Timing


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface(Record):
    """A height map over the skin frame's (x, y): skin, or the fascia under it."""

    x_mm: tuple[float, ...]  #: (n,), ascending, across
    y_mm: tuple[float, ...]  #: (m,), ascending, cranial
    z_mm: tuple[tuple[float, ...], ...]  #: (m, n), out of the body
    origin: Origin
    sd_mm: float  #: one standard deviation of the height


@dataclass(frozen=True, slots=True, kw_only=True)
class Pit(Record):
    """An opening in the skin."""

    name: str
    at_mm: Point2  #: (s, y) on the skin
    position_mm: Point3  #: (x, y, z)
    radius_mm: float
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Tract(Record):
    """A tube: the polyline of its middle and the radius of its *outer* wall at each vertex."""

    name: str
    centre_mm: Polyline3  #: (n, 3), from the pit to the blind end
    radius_mm: tuple[float, ...]  #: (n,)
    origin: Origin
    sd_mm: float  #: one standard deviation of position, each axis
    length_mm: float
    length_sd_mm: float
    depth_mm: float  #: deepest point below the skin, to its middle line
    lateral_reach_mm: float  #: greatest distance of the middle line from the midline plane
    volume_ml: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cavity(Record):
    """A hollow, as an ellipsoid: a centre and three perpendicular half-axes."""

    name: str
    centre_mm: Point3
    half_axes_mm: tuple[Point3, Point3, Point3]
    origin: Origin
    sd_mm: float
    volume_ml: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot(Record):
    """A bright place near a tract, joined to nothing: shown, never merged or dropped."""

    name: str
    centre_mm: Point3
    radius_mm: float
    gap_mm: float  #: to the nearest tract


@dataclass(frozen=True, slots=True, kw_only=True)
class Disagreement(Record):
    """How far probing and scan lie apart on one tract."""

    tract: str
    blind_end_mm: float  #: between the two blind ends
    mean_mm: float  #: mean distance of the probed line from the scanned one
    length_mm: float  #: scanned minus probed length


@dataclass(frozen=True, slots=True, kw_only=True)
class TractMap(Record):
    """All that is known of where the disease lies, in the skin frame."""

    pits: tuple[Pit, ...]
    tracts: tuple[Tract, ...]
    cavities: tuple[Cavity, ...]
    spots: tuple[Spot, ...]
    skin: Surface
    floor: Surface
    anal_verge_mm: Point3
    disagreements: tuple[Disagreement, ...]
    registration_sd_mm: float  #: shared error of the whole map on the table, each axis
    smallest_branch_mm: float | None  #: the thinnest branch that the series could show
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedProbe(Record):
    """One pass of the probe as it lies under the skin laid flat."""

    probing: int  #: which of the case's probings, from 0
    tract: str
    from_mm: Point2  #: the pit, (s, y)
    tip_mm: Point2  #: the skin above the tip, (s, y)


@dataclass(frozen=True, slots=True, kw_only=True)
class DiseaseShape(Record):
    """The disease on the skin laid flat, (s, y), to be drawn; nothing is measured with it."""

    parts: tuple[Polyline2, ...]  #: closed, of all that is joined; those of one tube overlap
    spots: tuple[Polyline2, ...]  #: closed, of what joins nothing
    ring: Polyline2  #: dots at the distance asked for round all parts; empty: none was asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing(Record):
    """One thing that keeps a case from being planned, and where it is put right."""

    code: str  #: key of the page's words
    place: str  #: of its entry in the case: "pits.0", "findings.seen_on"
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownMap(Record):
    """What is known of the disease now: the map, or why there is none, and what is missing.

    Pits and probes are those that can be placed, also while the whole map cannot be made.
    """

    number: int  #: of the revision that it was made from
    tract_map: TractMap | None
    sentence: str  #: why there is no map; empty if there is one
    old: bool  #: the map was made of a scan, and the case was changed since
    pits: tuple[Pit, ...]
    probes: tuple[PlacedProbe, ...]
    anal_verge_mm: Point2  #: (s, y)
    timing: Timing
    missing: tuple[Missing, ...]  #: before it can be planned; empty: nothing
