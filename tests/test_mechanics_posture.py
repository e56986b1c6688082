"""Sitting and gaping: closed forms of a strip, two ways to one balance, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_skin, distorted, lens, limberg, strip, turned
from test_mechanics_solver import EXACT, balance, closed_strip

from crena.mechanics.closed import SolverLimits, Status
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.posture import gape_of, in_posture, sitting
from crena.mechanics.prepared import prepare
from crena.mechanics.readings import open_forces_n, suture_forces
from crena.mechanics.solver import close_prepared
from crena.mechanics.ties import tied
from crena.records import CrenaError, InputError, Posture

SKIN = a_skin(axis_deg=60.0)
FLAP = balance(mesh_closure(limberg(), seam_step_mm=6.0), SKIN)
LENS = lens(undermined=np.zeros(512, dtype=bool))
HELD = balance(LENS, SKIN, limits=EXACT)
BEFORE, GAP, WHOLE = 1.05, 6.0, 45.0


def strip_n(stretch):
    """Return the force of the strip of `closed_strip` at a stretch from free of stress."""
    return 0.030 * 2.0 * (stretch - stretch**-2) * 10.0 * BEFORE**0.5


def test_stretched_strip_pulls_as_the_closed_form_says():
    state, lying_n, _ = closed_strip()
    after = BEFORE * WHOLE / (WHOLE - GAP)
    found = sitting(state, Posture(across_ratio=1.2, along_ratio=1.2**-0.5), EXACT)
    assert found.lying_n == pytest.approx(lying_n, rel=1e-10)
    assert found.sitting_n == pytest.approx(strip_n(1.2 * after), rel=1e-9)
    assert found.sitting_over_lying_ratio == pytest.approx(
        strip_n(1.2 * after) / strip_n(after), rel=1e-9
    )


def test_strip_that_is_let_go_gapes_as_the_closed_form_says():
    """Both parts shrink to their length without stress; their ends are held at that width."""
    state, _, _ = closed_strip()
    width = (BEFORE * WHOLE / (WHOLE - GAP)) ** 0.5
    stretched = in_posture(state, Posture(across_ratio=1.15, along_ratio=width))
    found = gape_of(stretched, "gap", EXACT)
    assert found.gape_mm == pytest.approx(1.15 * WHOLE - (WHOLE - GAP) / BEFORE, rel=1e-9)


@pytest.mark.parametrize("deep", [0.0, 0.3, 1.0])
def test_intact_skin_stretches_evenly_where_the_deep_tissue_takes_part(deep):
    skin = replace(SKIN, foundation_n_per_mm3=2e-3)
    state = balance(distorted(), skin, limits=EXACT)
    posture = Posture(across_ratio=1.2, along_ratio=0.95, deep_ratio=deep)
    found = in_posture(state, posture, EXACT)
    off = np.abs(found.positions_mm - state.positions_mm * [1.2, 0.95]).max()
    assert (off <= 1e-9) == (deep == 1.0)


def test_deep_tissue_that_stays_is_the_plain_closure_with_its_border_moved():
    posture = Posture(across_ratio=1.1, along_ratio=1.02, deep_ratio=0.0)
    moved = HELD.positions_mm * [1.1, 1.02]
    plain = close_prepared(prepare(LENS), SKIN, start=moved, limits=EXACT)
    found = in_posture(HELD, posture, EXACT)
    assert found.positions_mm == pytest.approx(plain.positions_mm, abs=1e-8)
    assert found.energy_n_mm == pytest.approx(plain.energy_n_mm, rel=1e-11)
    assert suture_forces(found).total_n == pytest.approx(suture_forces(plain).total_n, rel=1e-9)


@pytest.mark.parametrize("deep", [0.0, 0.6, 1.0])
def test_forces_read_from_a_posture_balance(deep):
    posture = Posture(across_ratio=1.12, along_ratio=0.97, deep_ratio=deep)
    found = in_posture(HELD, posture)
    forces, ties = open_forces_n(found), tied(LENS)
    sums = np.stack([np.bincount(ties.joined, forces[:, k]) for k in range(2)], axis=1)
    assert np.abs(sums[ties.free]).max() <= 1.01 * found.tolerance_n
    assert np.abs(forces[LENS.seams[0].moved]).max() > 1e4 * found.tolerance_n


def test_lying_is_the_posture_without_a_stretch():
    found = sitting(FLAP, Posture(across_ratio=1.0))
    ratios = [seam.sitting_over_lying_ratio for seam in found.seams]
    assert [seam.name for seam in found.seams] == ["base", "side", "top", "donor"]
    assert [*ratios, found.sitting_over_lying_ratio] == pytest.approx([1.0] * 5, rel=1e-7)


def test_more_stretch_pulls_more_and_so_does_deep_tissue_that_takes_part():
    totals = [sitting(FLAP, Posture(across_ratio=a)).sitting_n for a in (1.0, 1.05, 1.1, 1.2)]
    assert (np.diff(totals) > 0.1 * totals[0]).all()
    stays = sitting(FLAP, Posture(across_ratio=1.1, deep_ratio=0.0)).sitting_n
    assert totals[0] < stays < totals[2]


def test_turned_wound_in_a_turned_posture_is_the_same():
    plain = sitting(FLAP, Posture(across_ratio=1.1, along_ratio=1.03))
    other = balance(turned(FLAP.sheet, 90.0), replace(SKIN, axis_deg=150.0))
    seen = sitting(other, Posture(across_ratio=1.03, along_ratio=1.1))
    assert seen.sitting_n == pytest.approx(plain.sitting_n, rel=1e-7)
    assert seen.gape.seam == plain.gape.seam
    assert seen.gape.gape_mm == pytest.approx(plain.gape.gape_mm, rel=1e-6)


def test_seam_that_carries_most_per_mm_is_let_go():
    posture = Posture(across_ratio=1.1)
    found = sitting(FLAP, posture)
    seated = suture_forces(in_posture(FLAP, posture))
    loads = {seam.name: seam.line_n / seam.length_mm for seam in seated.seams}
    assert found.gape.seam == max(loads, key=loads.get)
    assert found.gape.gape_mm > gape_of(FLAP, found.gape.seam).gape_mm > 1.0


def test_firmer_hold_of_the_fascia_lets_a_seam_gape_less():
    firm = balance(LENS, replace(SKIN, foundation_n_per_mm3=2e-3))
    assert gape_of(firm, "gap").gape_mm < 0.95 * gape_of(HELD, "gap").gape_mm


def test_posture_without_a_balance_gives_its_reason_and_no_figure():
    found = sitting(FLAP, Posture(across_ratio=1.2), SolverLimits(most_iterations=1))
    assert found.status is Status.NOT_CONVERGED and "balance" in found.reason
    assert found.sitting_n is None and found.gape is None and found.seams == ()
    gape = gape_of(FLAP, "donor", SolverLimits(most_iterations=1))
    assert gape.gape_mm is None and "balance" in gape.reason


def test_skin_that_only_the_seam_holds_does_not_gape_but_hangs_on_nothing():
    sheet = strip()
    state = balance(replace(sheet, border=sheet.border[sheet.nodes_mm[sheet.border, 0] == 0]), SKIN)
    gape = gape_of(state, "gap")
    assert gape.gape_mm is None and "hang on nothing" in gape.reason


@pytest.mark.parametrize(
    "wrong", [{"across_ratio": 1.6}, {"across_ratio": 1.1, "along_ratio": 0.5},
              {"across_ratio": float("nan")}, {"across_ratio": 1.1, "deep_ratio": 1.2}]
)  # fmt: skip
def test_stretch_out_of_range_is_refused(wrong):
    with pytest.raises(InputError, match="Give"):
        sitting(FLAP, Posture(**wrong))


def test_unknown_seam_and_wound_that_did_not_close_are_refused():
    with pytest.raises(InputError, match="no seam none"):
        gape_of(FLAP, "none")
    with pytest.raises(CrenaError, match="no figures"):
        sitting(replace(FLAP, status=Status.SINGULAR), Posture(across_ratio=1.1))
