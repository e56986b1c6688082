"""The disease as shapes that can be measured against: tubes, and clouds round hollows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.supports import sphere_points
from crena.records import InputError, Record, TractMap

Floats = NDArray[np.float64]

PIT_SD_MM = 1.0
"""One standard deviation of a pit's place, each axis (assumed)."""

CLOUD = sphere_points(2)
"""162 points whose hull holds the unit ball, 2 % outside it: never optimistic."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part(Record):
    """One thing that must be cleared: a chain of balls, or a cloud round a convex body."""

    name: str
    points: Floats  #: (n, 3) mm, skin frame
    radii: Floats  #: (n,) mm; all 0 for a cloud
    chain: bool  #: the balls are joined by round cones
    sd_mm: float  #: error of this part alone, each axis


def parts_of(tract_map: TractMap) -> tuple[Part, ...]:
    """Return every part of the map that must be cleared: tracts, cavities, pits."""
    tracts = [
        Part(
            name=t.name,
            points=np.array(t.centre_mm),
            radii=np.array(t.radius_mm),
            chain=True,
            sd_mm=t.sd_mm,
        )
        for t in tract_map.tracts
    ]
    hollows = [
        Part(
            name=c.name,
            points=CLOUD @ np.array(c.half_axes_mm) + np.array(c.centre_mm),
            radii=np.zeros(len(CLOUD)),
            chain=False,
            sd_mm=c.sd_mm,
        )
        for c in tract_map.cavities
    ]
    pits = [
        Part(
            name=f"pit {p.name}",
            points=np.array([p.position_mm]),
            radii=np.array([p.radius_mm]),
            chain=True,
            sd_mm=PIT_SD_MM,
        )
        for p in tract_map.pits
    ]
    parts = (*tracts, *hollows, *pits)
    _refuse_same_names([part.name for part in parts])
    return parts


def _refuse_same_names(names: list[str]) -> None:
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError(f"The name “{twice[0]}” stands for two things. Give each its own name.")
