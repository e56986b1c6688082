"""What is said of the order of plans, and of what would change it."""

from dataclasses import replace

import numpy as np

from crena.mechanics.ensemble import assumed_skins
from crena.mechanics.material import ASSUMED_SKIN
from crena.planning.order import change_of, order_of

SKINS = assumed_skins(64, np.random.default_rng(5))
AXES = np.array([skin.axis_deg for skin in SKINS])
EVEN = np.full(64, 20.0)


def test_a_plan_is_named_only_if_it_pulls_least_on_eight_of_ten_skins():
    often = np.where(np.arange(64) < 52, 19.0, 21.0)
    seldom = np.where(np.arange(64) < 51, 19.0, 21.0)
    assert "plan B pulls least, on 52 of 64" in order_of(("A", "B"), np.stack([EVEN, often]))
    assert "no clear best" in order_of(("A", "B"), np.stack([EVEN, seldom]))


def test_skins_with_a_failed_run_count_for_no_plan():
    often = np.where(np.arange(64) < 60, 19.0, 21.0)
    failed = np.where(np.arange(64) < 50, np.nan, often)
    said = order_of(("A", "B"), np.stack([EVEN, failed]))
    assert "no clear best" in said


def test_without_pull_and_with_one_plan_nothing_is_named():
    assert order_of(("A", "B", "C"), np.empty((3, 0))).startswith("Three plans, no clear best")
    assert order_of(("A",), np.empty((1, 0))) == "One plan keeps all limits."


def test_the_property_that_parts_the_skins_is_named_with_its_direction():
    rises = np.where(AXES > 5.0, 18.0, 22.0)
    falls = np.where(AXES < -5.0, 18.0, 22.0)
    assert change_of(("A", "B"), np.stack([EVEN, rises]), SKINS) == (
        "Plan B tends to pull less than plan A where the tension lines are turned anticlockwise "
        "of what was guessed, as you look."
    )
    assert " clockwise" in change_of(("A", "B"), np.stack([EVEN, falls]), SKINS)


def test_stiffer_fibres_are_told_from_the_other_properties():
    fibres = np.array([skin.fibre_kpa for skin in SKINS])
    totals = np.stack([EVEN, np.where(fibres > 250.0, 19.0, 21.0)])
    assert change_of(("A", "C"), totals, SKINS).endswith("its fibres are stiffer than guessed.")


def test_chance_alone_is_not_called_a_reason():
    coin = np.random.default_rng(1).random(64)
    said = change_of(("A", "B"), np.stack([EVEN, np.where(coin < 0.4, 19.0, 21.0)]), SKINS)
    assert said == "Nothing of the skin alone decides between plans A and B."


def test_a_plan_that_always_pulls_less_is_said_to():
    said = change_of(("A", "B"), np.stack([EVEN, EVEN + 1]), SKINS)
    assert said == "Plan A pulls less than plan B on every kind of skin that was guessed."


def test_few_skins_say_nothing():
    few = SKINS[:10]
    assert change_of(("A", "B"), np.ones((2, 10)), few) == ""
    assert change_of(("A",), np.ones((1, 64)), SKINS) == ""


def test_the_mirror_image_names_the_other_side():
    totals = np.stack([EVEN, np.where(AXES > 5.0, 18.0, 22.0)])
    mirrored = tuple(replace(skin, axis_deg=-skin.axis_deg) for skin in SKINS)
    assert "anticlockwise" in change_of(("A", "B"), totals, SKINS)
    assert " clockwise" in change_of(("A", "B"), totals, mirrored)


def test_lines_pinched_along_the_cleft_are_told_by_their_turn_from_there():
    skins = tuple(replace(skin, axis_deg=skin.axis_deg + 94.0) for skin in SKINS)
    totals = np.stack([EVEN, np.where(AXES > 5.0, 18.0, 22.0)])
    assert "anticlockwise of what was guessed" in change_of(("A", "B"), totals, skins)


def test_a_plan_without_figures_is_never_named_and_hides_no_other():
    none = np.full(64, np.nan)
    said = order_of(("A", "B", "C"), np.stack([none, EVEN, EVEN + 1]))
    assert "plan B pulls least, on 64 of 64" in said


def test_few_skins_name_no_plan():
    failed = np.where(np.arange(64) < 60, np.nan, 20.0)
    assert "no clear best" in order_of(("A", "B"), np.stack([failed, failed + 1]))


def test_a_few_skins_that_say_otherwise_are_counted():
    totals = np.stack([EVEN, np.where(np.arange(64) < 2, 19.0, 21.0)])
    said = change_of(("A", "B"), totals, SKINS)
    assert said == "Plan A pulls less than plan B on all but 2 of 64 guessed skins."


def test_guesses_lie_round_the_skin_that_was_pinched():
    middle = replace(ASSUMED_SKIN, axis_deg=70.0)
    axes = [skin.axis_deg for skin in assumed_skins(200, np.random.default_rng(2), middle)]
    assert abs(np.mean(axes) - 70.0) < 5.0
