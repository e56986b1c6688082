"""The cuts of a closure as a net of short segments, alike on both edges of every seam.

The border of the skin that is removed is one closed curve, every incision an open one.
Places where a curve must have a node (ends, sharp corners, ends of seams, T-joints) cut it
into pieces. A break on one edge of a seam is carried to the same fraction of the other
edge, unless one is near it there, so that the pieces of the two edges match one to one;
matched pieces get the same number of equal steps of arc length.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from crena.geometry.measures import polygon_area_mm2
from crena.mechanics._breaks import TOUCH_MM, Curve, Walk, add_key, share_breaks
from crena.mechanics._seeds import inside
from crena.mechanics._wedges import parted
from crena.mechanics.sheet import Floats, Indices, SeamNodes, Truths
from crena.records import Closure, InputError, Polyline2, Record, Seam

SHARP_DEG = 25.0
"""A curve that turns more than this at a vertex keeps the vertex (assumed)."""
TIP_DEG = 120.0
"""A curve that turns more than this leaves a narrow tip: an angle of skin below 60 (assumed)."""
LONE_STEP_RATIO = 1.5
"""A piece between two breaks that is shorter than this, in steps, is one step (rounding)."""
NEAR_RATIO = 0.05
"""A cut that ends this near another, in steps, without touching it is refused (assumed)."""

Place = tuple[int, float]  #: (curve, mm along it)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cuts(Record):
    """Nodes and segments of all cuts; the edges of the seams before the cuts are opened."""

    points_mm: Floats  #: (p, 2)
    segments: Indices  #: (s, 2)
    ring: Indices  #: (r,) border of the removed skin, anticlockwise; empty if none
    seams: tuple[SeamNodes, ...]


def cuts_of(closure: Closure, seam_step_mm: float) -> Cuts:
    """Lay nodes along all cuts of a closure.

    Parameters
    ----------
    closure : Closure
        Any construction: a hole, slits, and seams whose edges lie on them.
    seam_step_mm : float
        Wanted distance of neighbouring nodes; the mean over the two edges of a seam.

    Raises
    ------
    InputError
        If cuts cross, overlap, repeat a point, enter the hole or nearly touch, or if an
        edge of a seam does not lie on a cut.
    """
    closure = parted(closure, seam_step_mm)
    curves = _curves(closure)
    _refuse_crossings(curves)
    _key_touching_places(curves)
    _refuse_near_misses(curves, seam_step_mm * NEAR_RATIO)
    walks = [_walks(curves, seam) for seam in closure.seams]
    share_breaks(curves, walks, seam_step_mm)
    steps = _step_counts(curves, walks, seam_step_mm)
    points, chains = _laid(curves, steps)
    _refuse_cuts_in_hole(curves, points, chains)
    return Cuts(
        points_mm=points,
        segments=np.concatenate([np.column_stack([c[:-1], c[1:]]) for c, _ in chains]),
        ring=chains[0][0][:-1] if curves[0].closed else np.zeros(0, np.int64),
        seams=tuple(
            _seam_nodes(chains, seam, pair) for seam, pair in zip(closure.seams, walks, strict=True)
        ),
    )


def _curves(closure: Closure) -> list[Curve]:
    curves = []
    if closure.removed_mm:
        ring = _sound(closure.removed_mm, "The outline")
        area_mm2 = polygon_area_mm2(ring)
        if len(ring) < 3 or abs(area_mm2) < TOUCH_MM:
            raise InputError("The outline encloses no skin. Draw at least three corners.")
        ring = ring if area_mm2 > 0 else np.concatenate([ring[:1], ring[:0:-1]])
        curves.append(_curve(np.concatenate([ring, ring[:1]])))
    curves += [_curve(_sound(line, "An incision")) for line in closure.incisions_mm]
    if not curves:
        raise InputError("The closure has no cut. Draw an outline or an incision.")
    return curves


def _sound(line: Polyline2, what: str) -> Floats:
    points = np.asarray(line, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 2:
        raise InputError(f"{what} has fewer than two points. Draw it again.")
    if not np.isfinite(points).all():
        raise InputError(f"{what} has a point that is not a number. Draw it again.")
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    if steps.min() <= TOUCH_MM or (len(points) > 2 and (points[0] == points[-1]).all()):
        at = points[int(np.argmin(steps))] if steps.min() <= TOUCH_MM else points[0]
        raise InputError(f"{what} names the point ({_spot(at)}) twice. Remove one of the two.")
    return points


def _curve(points: Floats) -> Curve:
    steps = np.diff(points, axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(steps, axis=1))])
    heading = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
    turn = np.abs((np.diff(heading) + 180) % 360 - 180)
    sharp = along[1:-1][turn > SHARP_DEG]
    return Curve(
        points=points, along=along, keys=[0.0, *sharp.tolist(), float(along[-1])],
        tips=along[1:-1][turn > TIP_DEG],
    )  # fmt: skip


def _places(curves: Sequence[Curve], points: Floats) -> list[list[Place]]:
    """Return for each point every place on a curve where it lies."""
    found: list[list[Place]] = [[] for _ in points]
    for c, curve in enumerate(curves):
        gap, along = _gaps(curve, points)
        for i, j in np.argwhere(gap <= TOUCH_MM):
            here = float(along[i, j])
            if not any(c == d and abs(here - s) <= 2 * TOUCH_MM for d, s in found[i]):
                found[i].append((c, here))
    return found


def _gaps(curve: Curve, points: Floats) -> tuple[Floats, Floats]:
    """Return distance and arc length (n, segments) of points to the segments of a curve."""
    start, step = curve.points[:-1], np.diff(curve.points, axis=0)
    square = (step**2).sum(axis=1)
    t = np.clip(((points[:, None] - start) * step).sum(axis=2) / square, 0, 1)
    gap = np.linalg.norm(points[:, None] - start - t[:, :, None] * step, axis=2)
    return gap, curve.along[:-1] + t * np.sqrt(square)


def _key_touching_places(curves: Sequence[Curve]) -> None:
    for curve in curves:
        for places in _places(curves, curve.points):
            if len(places) > 1:
                for c, s in places:
                    add_key(curves[c], s)


def _walks(curves: Sequence[Curve], seam: Seam) -> tuple[Walk, Walk]:
    fixed, moved = _walk(curves, seam.fixed_mm, seam.name), _walk(curves, seam.moved_mm, seam.name)
    for c, s, e in fixed + moved:
        add_key(curves[c], s)
        add_key(curves[c], e)
    return fixed, moved


def _walk(curves: Sequence[Curve], edge: Polyline2, name: str) -> Walk:
    points = _with_vertices(curves, _sound(edge, f"An edge of the seam {name}"))
    places = _places(curves, points)
    walk: Walk = []
    for a, b, step in zip(places, places[1:], np.diff(points, axis=0), strict=False):
        part = _part(a, b, float(np.hypot(*step)))
        if part is None:
            raise InputError(f"An edge of the seam {name} leaves the cuts. Draw it along them.")
        c, s, e = part
        went_on = walk and walk[-1][0] == c and walk[-1][2] == s
        if went_on and (walk[-1][2] > walk[-1][1]) == (e > s):
            walk[-1] = (c, walk[-1][1], e)
        else:
            walk.append(part)
    return walk


def _with_vertices(curves: Sequence[Curve], edge: Floats) -> Floats:
    """Add to an edge the vertices of the curves that lie on it."""
    vertices = np.concatenate([curve.points for curve in curves])
    drawn = _curve(edge)
    gap, along = _gaps(drawn, vertices)
    found = np.sort(np.concatenate([drawn.along, along[gap <= TOUCH_MM]]))
    found = found[np.concatenate([[True], np.diff(found) > 2 * TOUCH_MM])]
    return _at(drawn, found)


def _part(a: list[Place], b: list[Place], length_mm: float) -> tuple[int, float, float] | None:
    for c, s in a:
        for d, e in b:
            if c == d and abs(abs(e - s) - length_mm) <= 4 * TOUCH_MM:
                return c, s, e
    return None


def _at(curve: Curve, along: Floats) -> Floats:
    x, y = (np.interp(along, curve.along, axis) for axis in curve.points.T)
    return np.column_stack([x, y])


def _step_counts(
    curves: Sequence[Curve], walks: list[tuple[Walk, Walk]], step_mm: float
) -> dict[tuple[int, int], int]:
    """Return the number of steps of each piece (curve, index); matched pieces have the same."""
    mate = {(c, i): (c, i) for c, curve in enumerate(curves) for i in range(len(curve.keys) - 1)}
    for fixed, moved in walks:
        for p, q in zip(_pieces(curves, fixed), _pieces(curves, moved), strict=True):
            mate[_root(mate, p)] = _root(mate, q)
    groups: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for piece in mate:
        groups.setdefault(_root(mate, piece), []).append(piece)
    counts: dict[tuple[int, int], int] = {}
    for members in groups.values():
        mean_mm = np.mean([np.diff(curves[c].keys)[i] for c, i in members])
        least = max(
            max(_least_steps(curves[c], i, step_mm), _steps_beside_tip(curves[c], i, step_mm))
            for c, i in members
        )
        counts |= dict.fromkeys(members, max(least, round(float(mean_mm) / step_mm)))
    return counts


def _pieces(curves: Sequence[Curve], walk: Walk) -> Iterator[tuple[int, int]]:
    for c, s, e in walk:
        middles = np.add(curves[c].keys[:-1], curves[c].keys[1:]) / 2
        within = np.flatnonzero((middles > min(s, e)) & (middles < max(s, e)))
        yield from ((c, int(i)) for i in (within if e > s else within[::-1]))


def _root(mate: dict[tuple[int, int], tuple[int, int]], piece: tuple[int, int]) -> tuple[int, int]:
    while mate[piece] != piece:
        piece = mate[piece]
    return piece


def _least_steps(curve: Curve, piece: int, step_mm: float) -> int:
    """Three steps where a piece bends, two where a slit must still open, else one."""
    start, end = curve.keys[piece], curve.keys[piece + 1]
    chord_mm = np.linalg.norm(np.subtract(*_at(curve, np.array([start, end]))))
    if end - start - chord_mm > TOUCH_MM:
        return 3
    return 1 if end - start < LONE_STEP_RATIO * step_mm and len(curve.keys) > 2 else 2


def _steps_beside_tip(curve: Curve, piece: int, step_mm: float) -> int:
    """Return steps no longer than the single one between this piece and a narrow tip.

    There the skin is so narrow that longer steps would force narrower angles than the tip's.
    """
    if curve.closed:
        return 1
    lengths, ends = np.diff(curve.keys), np.asarray(curve.keys)
    least = 1
    for beside, tip in ((piece - 1, piece - 1), (piece + 1, piece + 2)):
        if 0 <= beside < len(lengths) and lengths[beside] < LONE_STEP_RATIO * step_mm:
            if np.isin(ends[tip], curve.tips):
                least = max(least, int(np.ceil(lengths[piece] / lengths[beside])))
    return least


def _laid(
    curves: Sequence[Curve], steps: dict[tuple[int, int], int]
) -> tuple[Floats, list[tuple[Indices, Floats]]]:
    """Return the nodes, and along each curve their numbers and arc lengths."""
    points: list[Floats] = []
    corners: list[tuple[int, Floats]] = []
    chains = []
    for c, curve in enumerate(curves):
        parts = [
            np.linspace(a, b, steps[c, i] + 1)
            for i, (a, b) in enumerate(zip(curve.keys, curve.keys[1:], strict=False))
        ]
        along = np.concatenate([parts[0][:1], *(part[1:] for part in parts)])
        is_key = np.isin(along, curve.keys)
        numbers = []
        for at, corner in zip(_at(curve, along), is_key, strict=True):
            known = _known(corners, at) if corner else None
            numbers.append(len(points) if known is None else known)
            if known is None:
                points.append(at)
                corners += [(numbers[-1], at)] if corner else []
        chains.append((np.array(numbers, dtype=np.int64), along))
    return np.array(points), chains


def _known(corners: list[tuple[int, Floats]], at: Floats) -> int | None:
    near = (i for i, p in corners if abs(p - at).max() <= 4 * TOUCH_MM)
    return next(near, None)


def _seam_nodes(
    chains: list[tuple[Indices, Floats]], seam: Seam, pair: tuple[Walk, Walk]
) -> SeamNodes:
    fixed, moved = (_nodes_along(chains, walk) for walk in pair)
    return SeamNodes(name=seam.name, fixed=fixed, moved=moved, donor=seam.donor)


def _nodes_along(chains: list[tuple[Indices, Floats]], walk: Walk) -> Indices:
    parts = []
    for k, (c, s, e) in enumerate(walk):
        numbers, along = chains[c]
        low, high = min(s, e) - 4 * TOUCH_MM, max(s, e) + 4 * TOUCH_MM
        found = numbers[(along >= low) & (along <= high)]
        parts.append((found if e > s else found[::-1])[min(k, 1) :])
    return np.concatenate(parts)


def _refuse_crossings(curves: Sequence[Curve]) -> None:
    a = np.concatenate([curve.points[:-1] for curve in curves])
    b = np.concatenate([curve.points[1:] for curve in curves])
    side_a, side_b = _heights(a, a, b), _heights(b, a, b)
    across = (side_a > TOUCH_MM) & (side_b < -TOUCH_MM) | (side_a < -TOUCH_MM) & (side_b > TOUCH_MM)
    _refuse_pair(across & across.T, a, "Two cuts cross", "Move one of them")
    direction = (b - a) / np.linalg.norm(b - a, axis=1, keepdims=True)
    from_mm = ((a[:, None] - a) * direction).sum(axis=2)
    to_mm = ((b[:, None] - a) * direction).sum(axis=2)
    length = ((b - a) * direction).sum(axis=1)
    shared = np.minimum(np.maximum(from_mm, to_mm), length)
    shared = shared - np.maximum(np.minimum(from_mm, to_mm), 0)
    flat = (abs(side_a) <= TOUCH_MM) & (abs(side_b) <= TOUCH_MM) & (shared > TOUCH_MM)
    np.fill_diagonal(flat, val=False)
    _refuse_pair(flat, a, "Two cuts lie on each other", "Draw the cut once")


def _heights(points: Floats, a: Floats, b: Floats) -> Floats:
    """Return the signed distance (points, lines) from the line through each a and b."""
    step = (b - a) / np.linalg.norm(b - a, axis=1, keepdims=True)
    off = points[:, None] - a
    return np.asarray(step[:, 0] * off[..., 1] - step[:, 1] * off[..., 0])


def _refuse_pair(found: Truths, at: Floats, what: str, remedy: str) -> None:
    if found.any():
        first, second = np.argwhere(found)[0]
        where = f"({_spot(at[first])}) and ({_spot(at[second])})"
        raise InputError(f"{what}, near {where}. {remedy}.")


def _refuse_near_misses(curves: Sequence[Curve], near_mm: float) -> None:
    for c, curve in enumerate(curves):
        for d, other in enumerate(curves):
            if c == d:
                continue
            gap = _gaps(other, curve.points[[0, -1]])[0].min(axis=1)
            if ((gap > TOUCH_MM) & (gap < near_mm)).any():
                raise InputError(
                    f"A cut ends {gap[gap > TOUCH_MM].min():.3f} mm from another one. "
                    "Let them meet, or move them apart."
                )


def _refuse_cuts_in_hole(
    curves: Sequence[Curve], points: Floats, chains: list[tuple[Indices, Floats]]
) -> None:
    if not curves[0].closed:
        return
    if len(np.unique(chains[0][0])) < len(chains[0][0]) - 1:
        raise InputError("The outline touches itself. Draw one simple outline.")
    for numbers, _ in chains[1:]:
        middles = (points[numbers[:-1]] + points[numbers[1:]]) / 2
        wrong = np.flatnonzero(inside(middles, curves[0].points[:-1]))
        if len(wrong):
            at = _spot(middles[wrong[0]])
            raise InputError(f"An incision enters the skin that is removed, at ({at}). Move it.")


def _spot(at: Floats) -> str:
    return f"{at[0]:.1f}, {at[1]:.1f}"
