"""The plan as distances, so that it can be drawn with pen and ruler only."""

from collections.abc import Sequence
from math import hypot
from typing import Any

import numpy as np

from crena.draw.marks import along
from crena.draw.words import from_tip, nearest_corner, off_midline, with_unit
from crena.geometry.measures import lengths_along_mm
from crena.records import Closure, Plan, Point2, Polyline2, Side
from crena.records.numbers import whole

_BENT_MM = 1.0
"""An edge that leaves its chord by more than this is given by points."""

_POINT_STEP_MM = 15.0
"""Between the points of a bent edge."""

_BENT_STEP = " Prick bent edges every 15\u00a0mm."

_STEPS = (
    "Patient standing: mark the midline and where the buttocks touch.",
    "Prone, before the tape: lay the sheet on coccyx tip and midline.",
    "Head mark to the head. Read “{side}” aloud.",
    "Prick {letters} through the paper, lift it, join them with the pen.{bent}",
    "Measure {edge} on the skin: {length}.",
)


def ruler_table(plan: Plan) -> dict[str, Any]:
    """Return the page of distances.

    Parameters
    ----------
    plan : Plan
        Whose corners are measured.

    Returns
    -------
    dict
        Rows of each corner's place, the distances between corners, points of bent edges,
        and the steps on the skin.
    """
    closure = plan.closure
    return {
        "points": [_row(corner.name, corner.at_mm) for corner in closure.corners],
        "letters": [corner.name for corner in closure.corners],
        "between": _between(closure),
        "edges": [
            {
                "heading": f"Points along {edge}, the edge towards the {_towards(closure, points)}",
                "points": [_row(f"{i}", p) for i, p in enumerate(points, 1)],
            }
            for edge, points in bent_edges(closure)
        ],
        "uncut": [_uncut(closure, number) for number in range(len(closure.flaps))],
        "steps": _steps(closure),
    }


def bent_edges(closure: Closure) -> tuple[tuple[str, Polyline2], ...]:
    """Return the cuts that are no straight lines, by points along them.

    Parameters
    ----------
    closure : Closure
        Whose outline and incisions are looked through.

    Returns
    -------
    tuple
        Name of the edge by its end letters, and the points between its ends.
    """
    lines = [(*closure.removed_mm, closure.removed_mm[0]), *closure.incisions_mm]
    found = []
    for line in lines:
        for part in _parts(closure, line):
            if _bow_mm(part) > _BENT_MM:
                ends = (nearest_corner(closure, part[0]), nearest_corner(closure, part[-1]))
                found.append(("–".join(end or "end" for end in ends), _spaced(part)))
    return tuple(found)


def _row(name: str, at_mm: Point2) -> dict[str, str]:
    return {"name": name, "across": off_midline(at_mm[0]), "along": from_tip(at_mm[1])}


def _towards(closure: Closure, points: Polyline2) -> str:
    """Return the side on which an edge lies of the middle of what is cut."""
    middle = np.mean([p[0] for p in (*closure.removed_mm, *points)])
    return Side.RIGHT if np.mean([p[0] for p in points]) > middle else Side.LEFT


def _between(closure: Closure) -> list[list[str]]:
    return [
        [
            with_unit(whole(_distance(p.at_mm, q.at_mm)), "mm") if j < i else ""
            for j, q in enumerate(closure.corners)
        ]
        for i, p in enumerate(closure.corners)
    ]


def _uncut(closure: Closure, number: int) -> str:
    pedicle = closure.flaps[number].pedicle_mm or ()
    names = sorted(nearest_corner(closure, p) for p in pedicle)
    return "–".join(names) if all(names) else ""


def _steps(closure: Closure) -> list[str]:
    corners = closure.corners
    first, last = corners[0], corners[-1]
    second = corners[1] if len(corners) > 1 else first
    side = closure.donor_side or "no flap"
    return [
        step.format(
            side=side,
            bent=_BENT_STEP if bent_edges(closure) else "",
            letters=f"{first.name} to {last.name}",
            edge=f"{first.name}–{second.name}",
            length=with_unit(whole(_distance(first.at_mm, second.at_mm)), "mm"),
        )
        for step in _STEPS
    ]


def _parts(closure: Closure, line: Polyline2) -> list[Polyline2]:
    """Part a line where a corner lies on it; a closed line begins at its first corner."""
    if not closure.corners:
        return [line]
    if line[0] == line[-1]:
        start = next((i for i, p in enumerate(line) if nearest_corner(closure, p)), 0)
        line = (*line[start:-1], *line[: start + 1])
    cuts = [i for i, p in enumerate(line) if nearest_corner(closure, p)]
    cuts = sorted({0, *cuts, len(line) - 1})
    return [line[a : b + 1] for a, b in zip(cuts[:-1], cuts[1:], strict=True)]


def _bow_mm(line: Polyline2) -> float:
    p = np.asarray(line, dtype=float)
    chord = p[-1] - p[0]
    length = float(np.linalg.norm(chord))
    if length == 0:
        return float(np.linalg.norm(p - p[0], axis=1).max())
    away = (p - p[0]) @ np.array([-chord[1], chord[0]]) / length
    return float(np.abs(away).max())


def _spaced(line: Polyline2) -> Polyline2:
    fine = np.asarray(along(line, 0.25), dtype=float)
    run = lengths_along_mm(fine)
    count = max(2, round(float(run[-1]) / _POINT_STEP_MM))
    at = run[-1] * np.arange(1, count) / count
    columns: Sequence[np.ndarray] = [np.interp(at, run, fine[:, k]) for k in (0, 1)]
    return tuple((float(x), float(y)) for x, y in zip(*columns, strict=True))


def _distance(p: Point2, q: Point2) -> float:
    return hypot(q[0] - p[0], q[1] - p[1])
