"""Cuts for tests: a rhombus by its corners, and the smallest one round a map's disease."""

import numpy as np

from crena.geometry import rhombi
from crena.geometry.unrolling import skin_map
from crena.records import Corner, Outline, OutlineKind, Wall
from crena.sinus.footprint import footprint
from crena.sinus.parts import parts_of


def outline(corners, wall_angle=0.0):
    named = tuple(
        Corner(name=n, at_mm=tuple(map(float, p))) for n, p in zip("ABCD", corners, strict=True)
    )
    walls = tuple(
        Wall(name=f"{p.name}–{q.name}", line_mm=(p.at_mm, q.at_mm))
        for p, q in zip(named, (*named[1:], named[0]), strict=True)
    )
    return Outline(kind=OutlineKind.RHOMBUS, corners=named, walls=walls, wall_angle_deg=wall_angle)


def rhombus_round(found_map, margin=7.0, wall_angle=0.0):
    parts, skin = parts_of(found_map), skin_map(found_map.skin)
    hull = footprint(parts, skin, margin, wall_angle)
    best = rhombi.smallest_rhombus(hull, np.zeros(len(hull)))
    return outline(rhombi.corner_points(rhombi.row_of(best))[0], wall_angle)
