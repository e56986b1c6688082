"""Figures in words: rounded so that none claims more than its record."""

import re
from dataclasses import replace

from sample_plans import sample_plan_set

from crena.draw.words import (
    chance,
    chance_sentence,
    clearance_sentence,
    donor_sentence,
    flap_side,
    lower_end_sentence,
    pedicle_words,
    scar_sentence,
    span,
    unsplit,
    volume_sentence,
)

UNIT = re.compile(r"\d(?:\u00a0(?:mm|mL|of\u00a0100)\b|°)")


def all_sentences() -> list[str]:
    found = []
    for plan in sample_plan_set().plans:
        found += [
            clearance_sentence(plan, 5.0), chance_sentence(plan), volume_sentence(plan),
            lower_end_sentence(plan), scar_sentence(plan), donor_sentence(plan),
        ]  # fmt: skip
    return found


def test_a_unit_follows_every_figure_and_cannot_part_from_it() -> None:
    for sentence in all_sentences():
        plain = sentence.replace("*", "")
        figures = [m for m in re.finditer(r"\d+(?:–\d+)?", plain) if m[0] != "100"]
        assert len(figures) == len(UNIT.findall(plain)), plain


def test_a_promise_is_rounded_down_and_a_band_outwards() -> None:
    plan = sample_plan_set().plans[0]
    close = replace(plan.excision, least_clearance_mm=4.99)
    sentence = clearance_sentence(replace(plan, excision=close), 5.0)
    assert sentence == "Clear of every tract by at least *4\u00a0mm*. You asked for 5\u00a0mm."
    assert span(18.01, 21.99, "mm") == "18–22\u00a0mm"
    assert span(20.0, 20.0, "mm") == "20\u00a0mm"


def test_a_wall_that_cuts_into_the_disease_is_said() -> None:
    plan = sample_plan_set().plans[0]
    bad = replace(plan, excision=replace(plan.excision, least_clearance_mm=-0.4))
    assert clearance_sentence(bad, 5.0).startswith("*Cuts into the disease by 1\u00a0mm.*")


def test_no_chance_is_called_certain() -> None:
    assert "100\u00a0of" not in chance(1.0, 1.0)
    assert chance(0.0, 0.004).startswith("fewer than")
    assert chance(0.5, 0.6) == "50–60\u00a0of\u00a0100"


def test_sides_are_full_words_of_the_patient() -> None:
    plans = sample_plan_set().plans
    assert flap_side(plans[0].closure) == "Flap from the patient's right"
    assert flap_side(plans[2].closure) == "Flap from the patient's left"
    assert flap_side(plans[3].closure) == "Tissue from the patient's right"
    assert "on the patient's left" in lower_end_sentence(plans[0])
    assert "on the patient's right" in lower_end_sentence(plans[2])


def test_the_uncut_line_is_named_from_the_pedicle_of_the_record() -> None:
    closure = sample_plan_set().plans[0].closure
    assert pedicle_words(closure, 0) == "do not cut C–F"
    (flap,) = closure.flaps
    shifted = replace(flap, pedicle_mm=((5.0, 5.0), (9.0, 9.0)))
    assert pedicle_words(replace(closure, flaps=(shifted,)), 0) == "do not cut its open side"
    island = replace(flap, pedicle_mm=None)
    assert pedicle_words(replace(closure, flaps=(island,)), 0) == "do not free its deep side"


def test_sentences_from_elsewhere_keep_number_and_unit_together() -> None:
    assert unsplit("by 26 mm, in 9 of 10") == "by 26\u00a0mm, in 9\u00a0of\u00a010"
    assert "*" not in unsplit("2 * 3")
