"""Pictures of the skin: sides and ruler on each, meaning without colour, words on no other."""

import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import combinations

import numpy as np
import pdfplumber
import pytest
from matplotlib.figure import Figure
from sample_films import PLANS, film_of
from sample_plans import sample_plan_set

from crena.draw import Paper, plan_pdf
from crena.draw.inks import TENSION_TONES
from crena.draw.patterns import hatch_between, places_between, within_box
from crena.draw.skin_axes import draw_skin
from crena.draw.skin_pages import skin_page
from crena.draw.skin_pictures import (
    BAND_LETTERS,
    HATCH_STEPS_MM,
    STANDS_UP,
    View,
    moment_picture,
    scar_stretches,
    seam_ticks,
)
from crena.records import Mechanics, PullClass

NAMES = list(PLANS)
PRINTS = [*((name, Paper.A4) for name in NAMES), (NAMES[1], Paper.LETTER)]
SQUARE, HOLE = (((-s, -s), (s, -s), (s, s), (-s, s)) for s in (20.0, 10.0))
PULL = Mechanics(
    status="converged", reason="relative, not validated", skins=64, failed=0,
    mesh_error_ratio=0.01, total_force_n=20.0, total_low_n=14.2, total_high_n=38.7,
    relative_low_ratio=1.04, relative_high_ratio=1.32, compared=32, least_of_these_fraction=0.31,
    donor_share=0.3, donor_share_low=0.2, donor_share_high=0.4, seam_forces=(),
)  # fmt: skip


def plan_set_with(name, mechanics=PULL):
    plan = replace(PLANS[name], mechanics=mechanics)
    others = sample_plan_set().plans
    plans = tuple(
        plan if one.id == plan.id else replace(one, mechanics=mechanics) for one in others
    )
    return sample_plan_set(plans=plans, chosen=plan.id)


@cache
def printed(name, paper):
    films = {PLANS[name].id: film_of(name)}
    pdf = pdfplumber.open(BytesIO(plan_pdf(plan_set_with(name), paper=paper, films=films)))
    (page,) = (page for page in pdf.pages if "The skin, before and after" in text_of(page))
    return pdf, page


def text_of(page):
    return re.sub(r"\s+", " ", page.extract_text().replace("\u00a0", " "))


def words_of(svg):
    return re.findall(r">([^<>]+)</text>", svg.decode())


def mean_x(points):
    return np.mean(points, axis=0)[0]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("ratio", [0.3, 0.56])
def test_every_moment_carries_head_both_sides_and_a_ruler(name, ratio):
    film = film_of(name)
    for moment in film.moments:
        svg, width_mm = moment_picture(film, moment, scale_ratio=ratio)
        words = words_of(svg)
        assert {"HEAD", "patient's left", "patient's right"} <= set(words)
        assert ("50\u00a0mm" in words) if ratio < 0.45 else {"0", "20", "\u221220"} <= set(words)
        left, right = (
            float(re.search(rf'x="([-\d.]+)"[^>]*>patient\'s {side}<', svg.decode())[1])
            for side in ("left", "right")
        )
        assert 0 <= left < right <= width_mm + 1e-3


def test_a_flap_from_the_patients_right_lies_on_the_viewers_right():
    right, left = (film_of(name).moments[0].flaps_mm[0] for name in NAMES[:2])
    assert mean_x(right) > 0 > mean_x(left)


@pytest.mark.parametrize("name", NAMES)
def test_each_stretch_of_scar_has_its_word(name):
    film = film_of(name)
    svg, _ = moment_picture(film, film.moments[-1], scale_ratio=0.56)
    said = sorted(word for word in words_of(svg) if word.endswith(" pull"))
    stretches = scar_stretches(film.moments[-1].scar)
    assert said == sorted(f"{one.pull} pull" for one in stretches)


def test_moments_before_the_sutures_say_nothing_of_pull_and_tension():
    film = film_of(NAMES[0])
    for moment in film.moments[:-1]:
        svg, _ = moment_picture(film, moment, scale_ratio=0.56, view=View.TENSION)
        assert not {*BAND_LETTERS, STANDS_UP} & set(words_of(svg))


@pytest.mark.parametrize("name", NAMES)
def test_every_band_of_tension_has_its_letter(name):
    film = film_of(name)
    last = film.moments[-1]
    svg, _ = moment_picture(film, last, scale_ratio=0.56, view=View.TENSION)
    words = words_of(svg)
    assert set(BAND_LETTERS) <= set(words)
    assert words.count(STANDS_UP) == len(last.wrinkles_mm) > 0


def test_closer_ticks_mean_more_pull():
    line = ((0.0, 0.0), (99.0, 0.0))
    counts = [len(seam_ticks(line, pull, 1.0)) for pull in PullClass]
    assert counts == [99 // 9, 99 / 5.5, 99 // 3]
    for (ax, ay), (bx, by) in seam_ticks(line, PullClass.HIGH, 0.5):
        assert (ax, ay) == (pytest.approx(bx), pytest.approx(-by))


def test_more_tension_is_darker_and_closer_hatched():
    tones = [int(ink.fill[1:3], 16) for ink in TENSION_TONES]
    assert all(a - b >= 0x10 for a, b in zip(tones, tones[1:], strict=False))
    assert list(HATCH_STEPS_MM[1:]) == sorted(HATCH_STEPS_MM[1:], reverse=True)


@pytest.mark.parametrize("turn_deg", [0.0, 45.0, 135.0, 70.0])
def test_hatch_lines_cover_the_area_between_rings(turn_deg):
    step = 0.05
    lines = hatch_between([SQUARE, HOLE[::-1]], step, turn_deg)
    length = sum(np.linalg.norm(np.subtract(*line)) for line in lines)
    assert length * step == pytest.approx(40**2 - 20**2, rel=0.005)


def test_places_between_rings_spare_the_hole():
    places = np.array(places_between([SQUARE, HOLE], 0.3))
    assert (np.abs(places).max(axis=1) >= 10).all()
    assert len(places) * 0.3**2 == pytest.approx(40**2 - 20**2, rel=0.02)


def test_a_line_that_leaves_a_box_twice_is_shown_in_two_parts():
    line = ((-5.0, 1.0), (15.0, 1.0), (15.0, 3.0), (-5.0, 3.0))
    parts = within_box(line, (0.0, 0.0, 10.0, 10.0))
    assert parts == (((0.0, 1.0), (10.0, 1.0)), ((10.0, 3.0), (0.0, 3.0)))


@pytest.mark.parametrize(("name", "paper"), PRINTS)
def test_the_film_of_the_drawn_plan_gets_one_page(name, paper):
    pdf, page = printed(name, paper)
    assert "What it rests on" in text_of(pdf.pages[page.page_number])
    text = text_of(page)
    assert "Total pull of the plan: 14–39 N" in text
    assert "Relative, not validated." in text
    assert text.count("drawn") == 3
    assert text.count("computed") == 2


@pytest.mark.parametrize(("name", "paper"), PRINTS)
def test_no_print_is_small_and_no_words_lie_on_each_other(name, paper):
    _, page = printed(name, paper)
    assert min(one["size"] for one in page.chars) >= 7.99
    assert all(0 < one["x0"] and one["x1"] < page.width for one in page.chars)
    for a, b in combinations(page.extract_words(), 2):
        wide = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
        high = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
        assert wide < 0.5 or high < 2.5, (a["text"], b["text"])


def test_films_of_other_plans_get_no_page():
    plan_set = plan_set_with(NAMES[0])
    pdf = plan_pdf(plan_set, paper=Paper.A4, films={"B": film_of(NAMES[0])})
    assert pdf == plan_pdf(plan_set, paper=Paper.A4)


def test_a_plan_without_pull_gets_no_figure_for_it():
    name = NAMES[0]
    none = replace(PULL, total_force_n=None, total_low_n=None, total_high_n=None, reason="it folds")
    for known, said in ((None, "not computed."), (none, "no figure. It folds")):
        plan = replace(PLANS[name], mechanics=known)
        first = skin_page(plan_set_with(name), plan, film_of(name))["sentences"][0]
        assert first.startswith("Total pull of the plan: ")
        assert said in first
        assert "20" not in first


@pytest.mark.parametrize("name", NAMES)
def test_axes_of_a_notebook_show_the_same_skin_in_true_proportion(name):
    film = film_of(name)
    for moment in film.moments:
        axes = Figure().add_subplot()
        assert draw_skin(axes, film, moment) is axes
        assert axes.get_xlim() == (film.low_mm[0], film.high_mm[0])
        assert axes.get_aspect() == 1.0
        assert ("drawn, not computed" in axes.get_title()) != moment.computed
    labels = axes.get_legend_handles_labels()[1]
    assert STANDS_UP in labels
    assert [one[0] for one in labels if "times the tension before" in one] == list(BAND_LETTERS)
    axes.figure.savefig(BytesIO(), dpi=50)
