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
from crena.mechanics.ensemble import assumed_skins
from crena.planning.compose import plan_case
from crena.planning.pull import with_pull
from crena.sinus.mapping import map_from_probing

SKINS = assumed_skins(6, np.random.default_rng(3))


def planned(plain, skins=SKINS):
    return plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY, skins=skins)


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
    assert all(plan.mechanics is None for plan in planned(case(), skins=()).plans)


def test_mirrored_case_on_mirrored_skins_pulls_alike(plans):
    turned = tuple(replace(skin, axis_deg=-skin.axis_deg) for skin in SKINS)
    other = planned(mirrored(case()), turned).plans
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
    (plan,) = with_pull(plans[:1], SKINS, lambda step, share: None)
    assert plan.mechanics.reason == "the corner at F folded"
    figures = json.loads(plan_text(replace(planned(case(), ()), plans=(plan,))))["plans"][0]
    assert {k for k, v in figures["mechanics"].items() if isinstance(v, float)} == set()
    assert pull_sentence(plan) == "Pull: no figure."


def test_progress_names_the_plan_that_is_being_closed(plans):
    steps = []
    with_pull(plans[:2], SKINS[:1], lambda step, share: steps.append(step))
    assert steps == ["Pull of plan A, 1 of 2", "Pull of plan B, 2 of 2"]
