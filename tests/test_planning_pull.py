"""The pull of plans: bands, mirror images, and never a figure from a failed run."""

import json
from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored

from crena.app.case_files import plan_text
from crena.draw.words import pull_sentence
from crena.mechanics import pulls
from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.ensemble import SkinGuesses, assumed_skins
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.refinement import refinement_of
from crena.planning.compose import plan_case
from crena.planning.pull import Simulation, coarse_pulls_n, with_pull
from crena.records import CrenaError
from crena.sinus.mapping import map_from_probing

SKINS = SkinGuesses(middle=ASSUMED_SKIN, ensemble=assumed_skins(6, np.random.default_rng(3)))


def quiet(step, share):
    pass


def planned(plain, skins=SKINS):
    simulation = None if skins is None else Simulation(skins=skins)
    return plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY, simulation=simulation)


def turned(skins):
    """Return the skins as they lie in the mirror."""
    return replace(skins, ensemble=tuple(replace(s, axis_deg=-s.axis_deg) for s in skins.ensemble))


@pytest.fixture(scope="module")
def plans():
    return planned(case()).plans


def test_every_plan_has_its_pull_as_a_band(plans):
    for plan in plans:
        known = plan.mechanics
        assert known.status == "converged" and known.skins == 6 and known.failed == 0
        assert 0 < known.total_low_n <= known.total_force_n <= known.total_high_n
        assert 1.0 <= known.relative_low_ratio <= known.relative_high_ratio
        assert [s.name for s in known.seam_forces] == [s.name for s in plan.closure.seams]


def test_shares_of_skins_on_which_a_plan_pulls_least_add_up(plans):
    assert sum(p.mechanics.least_of_these_fraction for p in plans) == pytest.approx(1.0)


def test_seams_carry_no_more_than_the_total(plans):
    for plan in plans:
        assert sum(s.force_n for s in plan.mechanics.seam_forces) < plan.mechanics.total_high_n


def test_without_skins_nothing_is_said_of_pull():
    assert all(plan.mechanics is None for plan in planned(case(), skins=None).plans)


def test_mirrored_case_on_mirrored_skins_pulls_alike(plans):
    other = planned(mirrored(case()), turned(SKINS)).plans
    for p, q in zip(plans, other, strict=True):
        assert q.mechanics.total_force_n == pytest.approx(p.mechanics.total_force_n, rel=0.02)
        assert q.mechanics.donor_share == pytest.approx(p.mechanics.donor_share, abs=0.02)


def test_same_seed_gives_the_same_skins():
    assert assumed_skins(4, np.random.default_rng(8)) == assumed_skins(4, np.random.default_rng(8))


@pytest.mark.parametrize("status", [s for s in Status if s is not Status.CONVERGED])
def test_a_failed_run_gives_its_reason_and_never_a_figure(plans, status, monkeypatch):
    def fails(prepared, skin, **_):
        return ClosureState(
            sheet=prepared.sheet, skin=skin, status=status, reason="the corner at F folded",
            iterations=1, convex_steps=0, residual_n=np.inf, tolerance_n=0.0, energy_n_mm=None,
            positions_mm=None, prestretch=None,
        )  # fmt: skip

    monkeypatch.setattr(pulls, "close_prepared", fails)
    (plan,), totals_n = with_pull(plans[:1], Simulation(skins=SKINS), quiet)
    assert np.isnan(totals_n).all()
    assert plan.mechanics.reason == "the corner at F folded"
    figures = json.loads(plan_text(replace(planned(case(), None), plans=(plan,))))["plans"][0]
    assert {k for k, v in figures["mechanics"].items() if isinstance(v, float)} == set()
    assert pull_sentence(plan) == "Pull: no figure."


def test_progress_counts_the_tasks_of_all_plans(plans):
    told = []
    with_pull(plans[:2], Simulation(skins=SKINS), lambda step, share: told.append((step, share)))
    assert {step for step, _ in told} == {"Pull of 2 plans on 6 skins"}
    assert [share for _, share in told] == sorted(share for _, share in told)
    assert told[-1][1] == 1.0


def test_the_error_of_the_mesh_is_estimated_from_two_meshes(plans):
    for plan in plans:
        total = refinement_of(plan.closure, ASSUMED_SKIN).readings[0]
        assert plan.mechanics.mesh_error_ratio == total.error_ratio < 0.05


def test_the_first_look_puts_the_plans_in_the_order_of_the_middle_skins(plans):
    closures = [plan.closure for plan in plans]
    coarse = coarse_pulls_n(closures, Simulation(skins=SKINS), quiet)
    fine = [pulls.pulls_of(c, SKINS.turned).totals_n.mean() for c in closures]
    assert list(np.argsort(coarse)) == list(np.argsort(fine))


def test_a_first_look_that_finds_no_balance_is_never_preferred(plans, monkeypatch):
    monkeypatch.setattr(pulls, "prepare", _refuses)
    assert np.isinf(coarse_pulls_n([plans[0].closure], Simulation(skins=SKINS), quiet)).all()


def _refuses(*_, **__):
    raise CrenaError("no mesh")
