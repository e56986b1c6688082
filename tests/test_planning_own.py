"""A plan of the surgeon's own: closed like the others, named as what it is, its faults said."""

from dataclasses import replace

import numpy as np
import pytest
from factory import PROVENANCE, TODAY, case
from own_works import FEW_SKINS

from crena.app.case_files import plan_text, plans_from_text
from crena.planning.compose import plan_case
from crena.planning.own import LETTERS, next_letter, with_own_plan
from crena.planning.pull import Simulation
from crena.records import InputError, Move, Moved, MoveKind
from crena.sinus.mapping import map_from_probing


def quiet(step, share):
    pass


@pytest.fixture(scope="module")
def plans():
    return plan_case(case(), map_from_probing(case()), PROVENANCE, today=TODAY)


def moved_by(plan, step):
    at = np.add(plan.closure.points_mm["A"], step)
    place = Move(kind=MoveKind.PLACE, handle="A", to_mm=(float(at[0]), float(at[1])))
    return Moved(of=plan.id, moves=(place,))


def kept(plans, moved):
    return with_own_plan(plans, moved, case(), Simulation(skins=FEW_SKINS), quiet)


@pytest.fixture(scope="module")
def own(plans):
    return kept(plans, moved_by(plans.plans[1], (-3.0, -2.5)))


def test_it_stands_under_the_next_letter_and_says_whence_it_comes(plans, own):
    assert [p.id for p in own.plans] == list(LETTERS[: len(plans.plans) + 1])
    assert own.plans[-1].best_at == f"Your own, moved from plan {plans.plans[1].id}."
    assert own.plans[-1].moved == moved_by(plans.plans[1], (-3.0, -2.5))
    assert own.order == f"{plans.order} Plan {own.plans[-1].id} is your own."


def test_it_is_closed_on_the_same_skins_as_the_others(own):
    forces = [plan.mechanics.total_force_n for plan in own.plans]
    assert all(force is not None and force > 0 for force in forces)
    shares = [plan.mechanics.least_of_these_fraction for plan in own.plans]
    assert sum(shares) == pytest.approx(1.0)
    assert own.plans[-1].filling is not None


def test_the_others_keep_their_drawing_and_all_get_another_code(plans, own):
    assert own.code != plans.code
    assert own.inputs_hash == plans.inputs_hash
    for before, after in zip(plans.plans, own.plans, strict=False):
        assert (before.closure, before.excision) == (after.closure, after.excision)
    again = kept(own, moved_by(own.plans[1], (-3.0, -2.5)))
    assert len({plans.code, own.code, again.code}) == 3


def test_every_limit_that_it_breaks_is_a_caution_with_its_figure(plans, own):
    last = own.plans[-1]
    broken = [check for check in last.limits if not check.kept]
    said = [c for c in own.cautions if c.startswith(f"Plan {last.id}, moved by hand")]
    assert len(said) == len(broken) > 0
    for check, sentence in zip(broken, said, strict=True):
        assert (
            f"{check.limit} is {check.reached:.1f} mm, {check.asked:.1f} mm were asked" in sentence
        )
    assert f"breaks {len([c for c in broken if c.hard])} of your limits" in last.price


def test_disease_that_is_cut_through_or_left_outside_is_never_kept(plans):
    for step in ((0.0, 25.0), (0.0, -25.0)):
        closure = plans.plans[0].closure
        centre = np.mean([closure.points_mm["A"], closure.points_mm["C"]], axis=0) + 4 * np.array(
            step
        )
        away = Move(
            kind=MoveKind.PLACE, handle="centre", to_mm=(float(centre[0]), float(centre[1]))
        )
        with pytest.raises(InputError, match="The cut goes through .*pit 1"):
            kept(plans, Moved(of=plans.plans[0].id, moves=(away,)))


def test_letters_end_with_a_sentence(plans):
    many = tuple(replace(plans.plans[0], id=letter) for letter in LETTERS)
    with pytest.raises(InputError, match="8 plans already"):
        next_letter(replace(plans, plans=many))


def test_a_kept_plan_is_read_again_as_it_was_written(own):
    assert plans_from_text(plan_text(own), "The plans") == own
