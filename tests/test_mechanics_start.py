"""Ties and the start: seams meet to the last bit, and nothing is folded."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_sheet, distorted, grid, lens, limberg, strip

from crena.mechanics.mesh import mesh_closure
from crena.mechanics.prepared import prepare
from crena.mechanics.sheet import SeamNodes
from crena.mechanics.ties import tied
from crena.records import InputError

LENS = lens()
FLAP = mesh_closure(limberg(), seam_step_mm=5.0)


def areas(nodes, triangles):
    a, b, c = (nodes[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    return (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2


@pytest.mark.parametrize("sheet", [LENS, FLAP])
def test_start_closes_all_seams_and_folds_nothing(sheet):
    start = prepare(sheet).start_mm
    for seam in sheet.seams:
        assert (start[seam.fixed] == start[seam.moved]).all()
    assert (start[sheet.border] == sheet.nodes_mm[sheet.border]).all()
    assert areas(start, sheet.triangles).min() > 0


def test_start_turns_the_flap_as_it_is_meant_to_turn():
    start = prepare(FLAP).start_mm
    tip = np.argmin(np.linalg.norm(FLAP.nodes_mm - [60, 0], axis=1) + 99 * ~in_flap(FLAP))
    edge = FLAP.triangles[(FLAP.flap == 1) & (FLAP.triangles == tip).any(axis=1)][0]
    before, after = (nodes[edge[1]] - nodes[edge[0]] for nodes in (FLAP.nodes_mm, start))
    angle = np.degrees(np.angle(complex(*after) / complex(*before)))
    assert 30 < angle < 90


def in_flap(sheet):
    return np.isin(np.arange(len(sheet.nodes_mm)), sheet.triangles[sheet.flap == 1])


def test_start_of_intact_skin_is_the_skin_itself():
    sheet = distorted()
    assert prepare(sheet).start_mm == pytest.approx(sheet.nodes_mm, abs=1e-12)


def test_chained_seams_join_all_their_nodes():
    nodes, triangles = grid(np.arange(7.0), np.arange(3.0))
    pair = [SeamNodes(name=n, fixed=np.array([a]), moved=np.array([b])) for n, a, b in
            (("one", 8, 10), ("two", 10, 12))]  # fmt: skip
    joined = tied(a_sheet(nodes, triangles, np.array([0]), seams=tuple(pair))).joined
    assert joined[8] == joined[10] == joined[12]
    assert len(np.unique(joined)) == len(nodes) - 2


def test_node_tied_to_the_border_stands_still():
    sheet = lens()
    seam = SeamNodes(name="edge", fixed=sheet.border[:1], moved=np.array([150]))
    ties = tied(replace(sheet, seams=(*sheet.seams, seam)))
    assert not ties.free[ties.joined[150]]
    assert ties.first[ties.joined[150]] == sheet.border[0]


def test_seam_of_unequal_edges_is_refused():
    seam = LENS.seams[0]
    with pytest.raises(InputError, match="gap"):
        tied(replace(LENS, seams=(replace(seam, moved=seam.moved[1:]),)))


def test_seam_that_folds_a_triangle_is_refused():
    corner = LENS.triangles[60]
    seam = SeamNodes(name="bad", fixed=corner[:1], moved=corner[1:2])
    with pytest.raises(InputError, match="flat"):
        tied(replace(LENS, seams=(seam,)))


def test_seam_across_the_border_is_refused():
    seam = SeamNodes(name="bad", fixed=LENS.border[:1], moved=LENS.border[30:31])
    with pytest.raises(InputError, match="border"):
        tied(replace(LENS, seams=(seam,)))


def test_skin_that_hangs_on_nothing_is_refused():
    sheet = strip()
    half = sheet.border[sheet.nodes_mm[sheet.border, 0] == 0]
    with pytest.raises(InputError, match="hang on nothing"):
        tied(replace(sheet, seams=(), border=half))
