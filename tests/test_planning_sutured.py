"""The scar after closure and the pull while sitting, on the middle of the guessed skins."""

from concurrent.futures import BrokenExecutor
from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case, mirrored

from crena.draw.words import scar_after_sentence
from crena.mechanics.ensemble import SkinGuesses, assumed_skins
from crena.mechanics.material import ASSUMED_SKIN
from crena.planning import sutured
from crena.planning.compose import plan_case
from crena.planning.pull import Simulation
from crena.planning.sutured import with_scar_after, with_scars_after
from crena.records import CrenaError, Posture, SkinEntry
from crena.sinus.mapping import map_from_probing

FEW = SkinGuesses(middle=ASSUMED_SKIN, ensemble=assumed_skins(2, np.random.default_rng(3)))
STATED = Posture(across_ratio=1.1)


def plans_of(plain):
    simulation = Simulation(skins=FEW)
    return plan_case(
        plain, map_from_probing(plain), PROVENANCE, today=TODAY, simulation=simulation
    ).plans


@pytest.fixture(scope="module")
def plans():
    return plans_of(case(skin=SkinEntry(sitting=STATED)))


def test_the_scar_gives_but_stays_near_where_it_was_drawn(plans):
    for plan in plans:
        lower = plan.mechanics.scar_after.sagittal.lower_end_mm
        assert lower != plan.scar.lower_end_midline_mm
        assert 10 < lower < plan.scar.lower_end_midline_mm + 10


def test_all_three_midlines_are_measured(plans):
    for plan in plans:
        after = plan.mechanics.scar_after
        assert after.material is not None
        assert after.floor.lower_end_mm == pytest.approx(after.sagittal.lower_end_mm, abs=6)
        assert 0 <= after.sagittal.within_10mm_ratio <= 1


def test_sitting_pulls_harder_and_the_hardest_seam_would_gape(plans):
    for plan in plans:
        seated = plan.mechanics.sitting
        assert seated.over_lying_ratio > 1 and seated.gape_mm > 1
        assert seated.hardest_seam in {s.name for s in plan.closure.seams}


def test_without_a_stated_stretch_nothing_is_said_of_sitting(plans):
    plain = with_scar_after(plans[0], ASSUMED_SKIN, None)
    assert plain.mechanics.sitting is None
    assert "Sitting" not in scar_after_sentence(plain)
    assert "Sitting pulls" in scar_after_sentence(plans[0])


def test_the_mirrored_case_has_its_scar_at_the_same_distance(plans):
    other = plans_of(mirrored(case(skin=SkinEntry(sitting=STATED))))
    alike = [(p, q) for p, q in zip(plans, other, strict=True) if p.closure.name == q.closure.name]
    assert len(alike) >= 2  # a twin that pulls the same may stand in for one of them
    for p, q in alike:
        one, two = (x.mechanics.scar_after.sagittal.lower_end_mm for x in (p, q))
        assert one == pytest.approx(two, abs=0.3)


def test_a_plan_without_a_figure_of_pull_gets_no_figure_here(plans):
    failed = replace(
        plans[0], mechanics=replace(plans[0].mechanics, total_force_n=None, scar_after=None)
    )
    assert with_scar_after(failed, ASSUMED_SKIN, STATED) is failed
    assert scar_after_sentence(failed) == "Scar once the skin has given: no figure."


def test_a_mesh_that_fails_leaves_the_plan_as_it_was(plans, monkeypatch):
    def fails(*_, **__):
        raise CrenaError("cuts cross")

    monkeypatch.setattr(sutured, "mesh_closure", fails)
    bare = replace(plans[0], mechanics=replace(plans[0].mechanics, scar_after=None, sitting=None))
    lost = with_scar_after(bare, ASSUMED_SKIN, STATED)
    assert lost.mechanics.scar_after is None and lost.mechanics.sitting.over_lying_ratio is None
    assert "no balance" in lost.mechanics.sitting.reason
    assert with_scar_after(bare, ASSUMED_SKIN, None) == bare


def test_a_cleft_off_the_midline_has_its_floor_there(plans):
    shifted = with_scar_after(plans[0], ASSUMED_SKIN, None, ((8.0, -40.0), (8.0, 120.0)))
    after = shifted.mechanics.scar_after
    assert after.floor.lower_end_mm != pytest.approx(after.sagittal.lower_end_mm, abs=4)


def test_when_a_worker_dies_this_process_goes_on(plans):
    class Dead:
        def executor(self):
            raise BrokenExecutor

        def renewed(self):
            return self

    (alone,) = with_scars_after(plans[:1], (ASSUMED_SKIN, STATED, ()), Dead())
    assert alone.mechanics.scar_after.sagittal == plans[0].mechanics.scar_after.sagittal
