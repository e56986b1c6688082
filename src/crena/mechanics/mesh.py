"""The mesh of any closure: from its cuts to an opened sheet with the nodes of its seams."""

import numpy as np

from crena.geometry.triangles import areas_mm2 as triangle_areas_mm2
from crena.mechanics._seeds import Field, border_points, field_of, inside, seeds
from crena.mechanics._split import check_copies, check_whole, opened
from crena.mechanics._sweeps import frame_of, settled
from crena.mechanics.cuts import Cuts, cuts_of
from crena.mechanics.sheet import Floats, Indices, SeamNodes, Sheet, Truths
from crena.records import Closure, InputError, RigidMotion

LEAST_SHEET_RATIO = 0.05
"""Least distance of a cut from the border, in widths of the sheet (assumed)."""
MOST_CUT_NODES = 5000
"""More nodes on the cuts than this are refused (assumed: minutes of computing)."""
COARSEST_STEP_RATIO = 0.09
"""Longest seam step in widths of the sheet (assumed: 18 mm of 200 mm)."""
GRADING_RANGE = (0.02, 1.0)
FIELD_RANGE = (0.3, 1.5)


def mesh_closure(
    closure: Closure,
    *,
    seam_step_mm: float,
    sheet_mm: float = 200.0,
    grading_ratio: float = 0.14,
    field_ratio: float = 0.78,
) -> Sheet:
    """Mesh the skin round a closure, with all cuts open and both edges of each seam matched.

    Parameters
    ----------
    closure : Closure
        Any construction: a hole, slits, and seams whose edges lie on them.
    seam_step_mm : float
        Distance of neighbouring seam nodes, the mean over the two edges of a seam.
    sheet_mm : float
        Side of the square of skin, centred on the cuts.
    grading_ratio : float
        Growth of the wanted edge length per mm away from the cuts.
    field_ratio : float
        Wanted edge length over the spacing on the cuts.

    Returns
    -------
    Sheet
        The same bytes for the same closure.

    Raises
    ------
    InputError
        If a measure is out of range, or the cuts cannot be meshed as they are drawn.
    CrenaError
        If the finished mesh fails one of its checks.

    Notes
    -----
    Hexagonal seeds, sweeps to weighted centroids and repair, each on the constrained
    Delaunay triangulation (Chew 1989, from memory). A node where another cut joins an edge
    has two copies on that side: the edge then lists both, and its partner's node twice.
    A node that both edges share, such as a pole, is listed on both. A cut along which a flap
    slides is meshed as a narrow wedge, since its two edges cannot share nodes.
    """
    _refuse_measures(seam_step_mm, sheet_mm, grading_ratio, field_ratio)
    _refuse_unknown_flaps(closure)
    _refuse_many_nodes(closure, seam_step_mm)
    cuts = cuts_of(closure, seam_step_mm)
    field = field_of(
        cuts.points_mm, cuts.segments, cuts.ring, sheet_mm, (grading_ratio, field_ratio)
    )
    _refuse_cuts_near_border(cuts, field, sheet_mm)
    edge = border_points(field)
    border = len(cuts.points_mm) + np.arange(len(edge))
    frame = frame_of(
        np.concatenate([cuts.points_mm, edge]),
        np.concatenate([cuts.segments, np.column_stack([border, np.roll(border, -1)])]),
        cuts.ring,
        field,
    )
    points, whole = settled(frame, seeds(field, edge))
    check_whole(frame, cuts, points, whole)
    nodes, triangles, original = opened(points, whole, cuts.segments)
    check_copies(cuts, original)
    middles = points[whole].mean(axis=1)
    flap = _flap_of(closure, middles)
    return Sheet(
        nodes_mm=nodes,
        triangles=triangles,
        border=border,
        seams=_seams(cuts, closure, (whole, triangles), flap),
        flap=flap,
        undermined=inside(middles, closure.undermined_mm) | (flap > 0),
        motions=tuple(each.motion for each in closure.flaps),
    )


def mirrored(sheet: Sheet) -> Sheet:
    """Return the sheet for the other side of the midline: x becomes -x."""
    return Sheet(
        nodes_mm=sheet.nodes_mm * [-1.0, 1.0],
        triangles=np.ascontiguousarray(sheet.triangles[:, ::-1]),
        border=np.ascontiguousarray(sheet.border[::-1]),
        seams=sheet.seams,
        flap=sheet.flap,
        undermined=sheet.undermined,
        motions=tuple(
            RigidMotion(
                angle_deg=-motion.angle_deg,
                pivot_mm=(-motion.pivot_mm[0], motion.pivot_mm[1]),
                shift_mm=(-motion.shift_mm[0], motion.shift_mm[1]),
            )
            for motion in sheet.motions
        ),
    )


def scaled(sheet: Sheet, ratio: float) -> Sheet:
    """Return the sheet for a wound of the same shape and another size, about the origin.

    Parameters
    ----------
    sheet : Sheet
        The undermined zone and the border are part of the shape and grow with it.
    ratio : float
        New over old length.

    Raises
    ------
    InputError
        If the ratio is not positive.
    """
    if not 0 < ratio < np.inf:
        raise InputError(f"A sheet cannot be scaled by {ratio:g}. Give a ratio above 0.")
    return Sheet(
        nodes_mm=sheet.nodes_mm * ratio,
        triangles=sheet.triangles,
        border=sheet.border,
        seams=sheet.seams,
        flap=sheet.flap,
        undermined=sheet.undermined,
        motions=tuple(
            RigidMotion(
                angle_deg=motion.angle_deg,
                pivot_mm=(motion.pivot_mm[0] * ratio, motion.pivot_mm[1] * ratio),
                shift_mm=(motion.shift_mm[0] * ratio, motion.shift_mm[1] * ratio),
            )
            for motion in sheet.motions
        ),
    )


def angles_deg(sheet: Sheet) -> Floats:
    """Return the three angles of each triangle (m, 3)."""
    p = sheet.nodes_mm[sheet.triangles]
    u, v = np.roll(p, -1, axis=1) - p, np.roll(p, 1, axis=1) - p
    cross = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
    return np.asarray(np.degrees(np.arctan2(cross, (u * v).sum(axis=2))))


def areas_mm2(sheet: Sheet) -> Floats:
    """Return the area of each triangle (m,)."""
    return triangle_areas_mm2(sheet.nodes_mm[sheet.triangles])


def _flap_of(closure: Closure, middles: Floats) -> Indices:
    flap = np.zeros(len(middles), dtype=np.int64)
    for number, each in enumerate(closure.flaps, start=1):
        flap[inside(middles, each.outline_mm)] = number
    return flap


def _seams(
    cuts: Cuts, closure: Closure, nets: tuple[Indices, Indices], flap: Indices
) -> tuple[SeamNodes, ...]:
    """Pick the copies of the seams' nodes by the flap that each edge belongs to."""
    found = []
    for seam, drawn in zip(cuts.seams, closure.seams, strict=True):
        fixed = _copies(seam, seam.fixed, (*nets, flap == drawn.fixed_flap))
        moved = _copies(seam, seam.moved, (*nets, flap == drawn.moved_flap))
        both = np.column_stack([fixed, moved])
        new = np.concatenate([[True], (both[1:] != both[:-1]).any(axis=1)])
        found.append(
            SeamNodes(name=seam.name, fixed=fixed[new], moved=moved[new], donor=seam.donor)
        )
    return tuple(found)


def _copies(seam: SeamNodes, chain: Indices, net: tuple[Indices, Indices, Truths]) -> Indices:
    """Return both ends' copies for each segment of an edge, on the side that is wanted."""
    whole, triangles, wanted = net
    sides = [_beside(whole, chain), _beside(whole, chain[::-1])[::-1]]
    scores = [int(wanted[side].sum()) if (side >= 0).all() else -1 for side in sides]
    if scores[0] == scores[1]:
        raise InputError(
            f"It is not clear which skin the seam {seam.name} holds. "
            "Draw the flap's outline along its cuts."
        )
    side = sides[int(np.argmax(scores))]
    ends = np.column_stack([chain[:-1], chain[1:]])
    place = (whole[side][:, None, :] == ends[:, :, None]).argmax(axis=2)
    return np.take_along_axis(triangles[side], place, axis=1).ravel()


def _beside(whole: Indices, chain: Indices) -> Indices:
    """Return for each step of a chain the triangle on its left, -1 if there is none."""
    span = int(whole.max()) + 1
    keys = (whole * span + np.roll(whole, -1, axis=1)).ravel()
    order = np.argsort(keys, kind="stable")
    wanted = chain[:-1] * span + chain[1:]
    place = np.minimum(np.searchsorted(keys, wanted, sorter=order), len(keys) - 1)
    found = order[place]
    return np.asarray(np.where(keys[found] == wanted, found // 3, -1))


def _refuse_measures(
    seam_step_mm: float, sheet_mm: float, grading_ratio: float, field_ratio: float
) -> None:
    if not 0 < sheet_mm < np.inf:
        raise InputError(f"A sheet of {sheet_mm:g} mm cannot be meshed. Give a width above 0.")
    longest = COARSEST_STEP_RATIO * sheet_mm
    if not 0 < seam_step_mm <= longest:
        raise InputError(
            f"A seam step of {seam_step_mm:g} mm cannot be meshed. "
            f"Give more than 0 and at most {longest:g} mm."
        )
    for name, value, (low, high) in (
        ("grading ratio", grading_ratio, GRADING_RANGE),
        ("field ratio", field_ratio, FIELD_RANGE),
    ):
        if not low <= value <= high:
            raise InputError(f"The {name} {value:g} is out of range. Give {low:g} to {high:g}.")


def _refuse_unknown_flaps(closure: Closure) -> None:
    for seam in closure.seams:
        number = max(seam.fixed_flap, seam.moved_flap)
        if number > len(closure.flaps):
            raise InputError(
                f"The seam {seam.name} names flap {number} of {len(closure.flaps)}. "
                "Draw that flap or name another."
            )


def _refuse_many_nodes(closure: Closure, seam_step_mm: float) -> None:
    lines = [np.asarray(line) for line in (closure.removed_mm, *closure.incisions_mm) if line]
    length_mm = sum(float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines)
    if length_mm / seam_step_mm > MOST_CUT_NODES:
        raise InputError(
            f"A seam step of {seam_step_mm:g} mm needs more than {MOST_CUT_NODES} nodes on the "
            "cuts. Give a longer step."
        )


def _refuse_cuts_near_border(cuts: Cuts, field: Field, sheet_mm: float) -> None:
    box = field.box_mm
    span = cuts.points_mm.max(axis=0) - cuts.points_mm.min(axis=0)
    if span.max() > (1 - 2 * LEAST_SHEET_RATIO) * (box[2] - box[0]):
        least = span.max() / (1 - 2 * LEAST_SHEET_RATIO)
        raise InputError(
            f"The cuts reach over {span.max():.0f} mm, too far for a sheet of {sheet_mm:g} mm. "
            f"Make the sheet wider than {least:.0f} mm."
        )
