"""Sheets of skin for tests: structured, asymmetric where it matters, and invented."""

from math import cos, pi, radians, sin, sqrt

import numpy as np

from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.sheet import SeamNodes, Sheet
from crena.records import Closure, ClosureKind, Flap, RigidMotion, Seam


def a_skin(**changes):
    """Return a skin with any field overridden."""
    fields = {name: getattr(ASSUMED_SKIN, name) for name in type(ASSUMED_SKIN).__slots__}
    return type(ASSUMED_SKIN)(**(fields | changes))


def a_sheet(nodes, triangles, border, **changes):
    """Return a sheet without flaps or undermining."""
    count = len(triangles)
    fields = {
        "nodes_mm": nodes,
        "triangles": triangles,
        "border": border,
        "seams": (),
        "flap": np.zeros(count, dtype=np.int64),
        "undermined": np.zeros(count, dtype=bool),
        "motions": (),
    }
    return Sheet(**(fields | changes))


def grid(xs, ys):
    """Return nodes and triangles of a grid, columns first."""
    across, up = np.meshgrid(xs, ys)
    nodes = np.c_[across.ravel(), up.ravel()].astype(float)
    index = np.arange(len(nodes)).reshape(across.shape)
    a, b, c, d = index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]
    lower, upper = np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)
    return nodes, np.concatenate([lower.reshape(-1, 3), upper.reshape(-1, 3)])


def ring(columns, rows):
    """Return the outer nodes of a grid, anticlockwise."""
    index = np.arange(columns * rows).reshape(rows, columns)
    return np.concatenate(
        [index[0, :-1], index[:-1, -1], index[-1, :0:-1], index[:0:-1, 0]]
    ).astype(np.int64)


def distorted(size=7, seed=3):
    """Return an intact square, 60 mm wide, with its inner nodes shaken."""
    nodes, triangles = grid(np.linspace(-30, 30, size), np.linspace(-20, 20, size))
    border = ring(size, size)
    inner = np.setdiff1d(np.arange(len(nodes)), border)
    nodes[inner] += np.random.default_rng(seed).uniform(-1.6, 1.6, (len(inner), 2))
    return a_sheet(nodes, triangles, border)


def lens(size=17, length_mm=50.0, half_mm=6.0, **changes):
    """Return a square of 120 mm with a lens-shaped hole, off its middle, to be sutured."""
    nodes, triangles = grid(np.linspace(-60, 60, size), np.linspace(-60, 60, size))
    on = np.flatnonzero((abs(nodes[:, 0]) < 1e-9) & (abs(nodes[:, 1]) < length_mm / 2))
    twin = dict(zip(on.tolist(), range(len(nodes), len(nodes) + len(on)), strict=True))
    right = nodes[triangles].mean(axis=1)[:, 0] > 0
    triangles[right] = [[twin.get(int(n), int(n)) for n in t] for t in triangles[right]]
    nodes = np.vstack([nodes, nodes[on]])
    side = np.where(nodes[:, 0] < 0, -1.0, 1.0)
    side[on] = -0.6
    bulge = np.clip(1 - (2 * nodes[:, 1] / length_mm) ** 2, 0, None)
    nodes[:, 0] += side * half_mm * bulge * np.clip(1 - abs(nodes[:, 0]) / 60, 0, None)
    moved = np.array(list(twin.values()))
    seam = SeamNodes(name="gap", fixed=on, moved=moved)
    free = abs(nodes[triangles].mean(axis=1)).max(axis=1) < 40
    fields = {"seams": (seam,), "undermined": free} | changes
    return a_sheet(nodes, triangles, ring(size, size), **fields)


def strip(left_mm=24.0, gap_mm=6.0, right_mm=15.0, high_mm=10.0):
    """Return two strips with a gap between them; only their far ends are held."""
    ys = np.linspace(0, high_mm, 6)
    first, low = grid(np.linspace(0, left_mm, 9), ys)
    second, high = grid(np.linspace(left_mm + gap_mm, left_mm + gap_mm + right_mm, 7), ys)
    nodes = np.vstack([first, second])
    whole = left_mm + gap_mm + right_mm
    border = np.flatnonzero((nodes[:, 0] == 0) | (nodes[:, 0] == whole))
    seam = SeamNodes(
        name="gap",
        fixed=np.flatnonzero(nodes[:, 0] == left_mm),
        moved=np.flatnonzero(nodes[:, 0] == left_mm + gap_mm),
    )
    free = np.ones(len(low) + len(high), dtype=bool)
    triangles = np.concatenate([low, high + len(first)])
    return a_sheet(nodes, triangles, border, seams=(seam,), undermined=free)


def turned(sheet, angle_deg):
    """Return the same sheet turned about the origin, flaps and all."""
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    turn = np.array([[c, -s], [s, c]])

    def point(at):
        return tuple(float(v) for v in turn @ at)

    motions = tuple(
        RigidMotion(angle_deg=m.angle_deg, pivot_mm=point(m.pivot_mm), shift_mm=point(m.shift_mm))
        for m in sheet.motions
    )
    return a_sheet(
        sheet.nodes_mm @ turn.T, sheet.triangles, sheet.border, seams=sheet.seams,
        flap=sheet.flap, undermined=sheet.undermined, motions=motions,
    )  # fmt: skip


def limberg(side_mm=40.0, undermining_mm=30.0):
    """Return a rhombic flap of 60 degrees that turns anticlockwise about its lower corner."""
    a, high = side_mm, side_mm * sqrt(3) / 2
    p1, p2, p3, p4 = (0.0, high), (a / 2, 0.0), (0.0, -high), (-a / 2, 0.0)
    d, e = (1.5 * a, 0.0), (a, -high)
    seams = (
        Seam(name="base", fixed_mm=(p3, p4), moved_mm=(p3, p2), moved_flap=1),
        Seam(name="side", fixed_mm=(p4, p1), moved_mm=(p2, d), moved_flap=1),
        Seam(name="top", fixed_mm=(p1, p2), moved_mm=(d, e), moved_flap=1),
        Seam(name="donor", fixed_mm=(d, p2), moved_mm=(d, e), donor=True),
    )
    reach = high + undermining_mm
    circle = [2 * pi * k / 60 for k in range(60)]
    zone = tuple((a / 3 + (reach + 15) * cos(t), reach * sin(t)) for t in circle)
    motion = RigidMotion(angle_deg=60.0, pivot_mm=p3)
    flap = Flap(outline_mm=(p2, p3, e, d), pedicle_mm=(e, p3), motion=motion)
    return Closure(
        kind=ClosureKind.LIMBERG, name="Limberg", donor_side=None,
        points_mm={"P1": p1, "P2": p2, "P3": p3, "P4": p4, "D": d, "E": e},
        removed_mm=(p1, p4, p3, p2), incisions_mm=((p2, d, e),), flaps=(flap,), seams=seams,
        scar_mm=(), undermined_mm=zone, parameters=(),
    )  # fmt: skip
