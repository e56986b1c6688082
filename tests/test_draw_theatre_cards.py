"""The theatre card: what is open first, the right side, loads that are never told too small."""

from dataclasses import replace
from functools import cache
from math import dist

import pytest
from card_texts import assert_named, assert_readable, bare_figures
from printed_pages import pages_of, words_of
from sample_healing import sample_healing
from sample_plans import mirrored, sample_plan_set

from crena.draw import Paper, Stage, theatre_card_pdf
from crena.draw.card_frames import middle_of
from crena.draw.layer_rows import layer_rows, load_words
from crena.draw.theatre_cards import to_settle
from crena.draw.theatre_pictures import theatre_picture
from crena.healing.layers import plan_layers
from crena.records import Answer, SeamLine, ThreadTerms
from crena.store.tables import suture_tables


@cache
def printed(paper=Paper.A4):
    return pages_of(theatre_card_pdf(sample_healing(), paper=paper))


def text_with(**changes):
    (page,) = pages_of(theatre_card_pdf(sample_healing(**changes), paper=Paper.A4))
    return words_of(page)


@pytest.mark.parametrize("paper", list(Paper))
def test_one_page_named_and_readable(paper):
    (page,) = printed(paper)
    assert_named(page)
    assert_readable(page)


def test_every_figure_has_its_unit_and_no_decimal():
    ordinals = set("1234")  # of seams and layers
    assert set(bare_figures(words_of(printed()[0]))) <= ordinals


def test_what_nobody_asked_comes_first_and_what_is_open_is_bold():
    sentences = to_settle(sample_healing().matters)
    assert sentences[0] == "Not asked: pacemaker or other implanted device, allergy to dye. Ask."
    assert len(sentences) == 4
    bold = "".join(c["text"] for c in printed()[0].chars if "Bold" in c["fontname"])
    for sentence in sentences:
        assert sentence.replace("\u00a0", " ").split(". ")[0].replace(" ", "") in bold.replace(
            " ", ""
        ).replace("\u00a0", "")


def test_every_question_unasked_still_goes_on_one_page():
    matters = tuple(
        replace(one, answer=Answer.NOT_ASKED, to_do="Ask.") for one in sample_healing().matters
    )
    assert "Not asked: a rash, boil or sore" in text_with(matters=matters)


def test_the_side_in_capitals_is_that_of_the_plan():
    plans = (sample_plan_set().plans[0], mirrored(sample_plan_set()).plans[0])
    for plan, side in zip(plans, ("RIGHT", "LEFT"), strict=True):
        text = text_with(plan=plan)
        assert text.count(f"from the PATIENT'S {side}") == 2


def test_loads_are_rounded_up_and_knots_down():
    layers = sample_healing().layers
    for row, layer in zip(layer_rows(layers), layers.layers, strict=True):
        load_n, knot_n = int(row[4].split("\u00a0")[0]), int(row[5].split("\u00a0")[0])
        worst = max(load.load_high_n for load in layer.loads)
        assert worst <= load_n < worst + 1
        assert layer.loads[0].strength_n - 1 < knot_n <= layer.loads[0].strength_n
    assert layer_rows(layers)[0][4].endswith("at D–E")


def test_a_knot_that_is_too_weak_is_said_in_bold():
    load = sample_healing().layers.layers[0].loads[0]
    weak = replace(load, load_high_n=30.0, margin_ratio=0.9)
    assert load_words(weak).startswith("*30\u00a0N at A–B: more than the knot holds")


def test_a_size_stands_with_both_names_and_strength_with_its_mark():
    text = words_of(printed()[0])
    assert "polydioxanone 2-0 (metric 3) 36 interrupted, 414 cm, 6 packets" in text
    assert "15 mm apart, 3 rows" in text
    assert "Strength of knots: USP <881> (from memory, check by hand)." in text
    assert "relative, not validated" in text


def test_without_pull_the_donor_seam_is_sewn_first_and_no_load_is_told():
    plan = sample_plan_set().plans[0]
    seams = tuple(
        SeamLine(name=s.name, length_mm=dist(*s.fixed_mm), donor=s.donor)
        for s in plan.closure.seams
    )
    tables = suture_tables()
    layers = plan_layers(28.0, seams, tables.layers, tables, ThreadTerms())
    reason = "no pull was computed for this plan"
    text = text_with(plan=plan, layers=layers, support=None, support_reason=reason)
    assert "order: 1 D–E (donor), 2 A–B" in text
    assert f"Load on a stitch: not computed, because {reason}." in text
    assert "Knot holds" not in text


def test_each_figure_stands_nearest_to_its_own_seam():
    plan, order = sample_healing().plan, sample_healing().layers.order
    (page,) = printed()
    sewn = [w for w in page.extract_words() if w["x0"] > page.width / 2 and w["text"] in "1234"]
    at = {w["text"]: (w["x0"], -w["top"]) for w in sewn if w["top"] < page.height / 2}
    seams = {seam.name: middle_of(seam.fixed_mm) for seam in plan.closure.seams}
    xs = sorted(order, key=lambda name: seams[name][0])
    assert sorted(at, key=lambda text: at[text][0]) == [str(order.index(n) + 1) for n in xs]


def test_pictures_carry_letters_head_and_both_sides_and_say_what_not_to_cut():
    closure = sample_healing().plan.closure
    svg = theatre_picture(closure, Stage.CUT, (), (88.0, 80.0))[0].decode()
    for words in (*"ABCDEF", "HEAD", "PATIENT'S LEFT", "PATIENT'S RIGHT"):
        assert f">{words}<" in svg
    assert "do not cut C–F" in svg


def test_what_is_missing_is_said_in_words():
    text = words_of(
        pages_of(
            theatre_card_pdf(
                sample_healing(
                    plan=None, layers=None, matters=(), support_reason="there is no plan"
                ),
                paper=Paper.LETTER,
            )
        )[0]
    )
    assert "Drawing: none, because no plan is at hand. Do not cut by this card." in text
    assert "Layers, threads and loads: not computed, because there is no plan." in text
    assert "What to settle before the operation: not recorded. Ask." in text


def test_the_same_record_gives_the_same_bytes():
    one, other = (theatre_card_pdf(sample_healing(), paper=Paper.LETTER) for _ in range(2))
    assert one == other


@pytest.mark.parametrize("paper", list(Paper))
def test_the_stop_volume_of_the_dye_stands_on_the_one_page(paper):
    words = (
        "The tracts hold 0.5–1 mL. Stop at 0.4 mL, sooner when dye shows at a pit or the plunger "
        "resists. This is a ceiling, not an aim: never press to reach it."
    )
    for matters in (sample_healing().matters, ()):
        (page,) = pages_of(
            theatre_card_pdf(sample_healing(dye=words, matters=matters), paper=paper)
        )
        assert "Dye. The tracts hold 0.5–1 mL. Stop at 0.4 mL" in words_of(page)
