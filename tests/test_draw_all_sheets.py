"""What holds of every printed sheet: legible in grey and to every eye, no doubtful decimal."""

import re
from functools import cache

import numpy as np
import pytest
from printed_pages import pages_of, words_of
from sample_healing import sample_healing
from sample_plans import sample_plan_set

from crena.draw import (
    Paper,
    consent_pdf,
    operation_note_pdf,
    patient_pdf,
    plan_pdf,
    specimen_card_pdf,
    template_pdf,
    theatre_card_pdf,
    ward_card_pdf,
)
from crena.draw.inks import BLACK, BODY_TONE, DYE, DYE_SOFT, FASCIA, FLAP_TONE, GREY, PEN
from crena.records import Language
from crena.store.tables import recurrence_rates

LEAST_CONTRAST = 4.5
"""Of text on its ground (WCAG 2.2, 1.4.3)."""

VIEWS = {
    "colour": np.eye(3),
    "grey": np.tile([0.2126, 0.7152, 0.0722], (3, 1)),
    "no red cones": np.array(
        [[0.152, 1.053, -0.205], [0.115, 0.786, 0.099], [-0.004, -0.048, 1.052]]
    ),
    "no green cones": np.array(
        [[0.367, 0.861, -0.228], [0.280, 0.673, 0.047], [-0.012, 0.043, 0.969]]
    ),
    "no blue cones": np.array(
        [[1.256, -0.077, -0.179], [-0.078, 0.931, 0.147], [0.005, 0.691, 0.304]]
    ),
}
"""Linear light as it is seen (Machado 2009, severity 1; matrices from memory, three digits)."""

SHEETS = {
    "plan sheet": lambda: plan_pdf(sample_plan_set(), paper=Paper.A4),
    "template": lambda: template_pdf(sample_plan_set(), paper=Paper.A4),
    "ward card": lambda: ward_card_pdf(sample_healing(), paper=Paper.A4),
    "theatre card": lambda: theatre_card_pdf(sample_healing(), paper=Paper.A4),
    "specimen card": lambda: specimen_card_pdf(sample_healing(), paper=Paper.A4),
    "operation note": lambda: operation_note_pdf(sample_healing(), paper=Paper.A4),
    "consent": lambda: consent_pdf(sample_healing(), recurrence_rates(), paper=Paper.A4),
    "patient, English": lambda: patient_pdf(
        sample_healing(), language=Language.ENGLISH, paper=Paper.A4
    ),
    "patient, German": lambda: patient_pdf(
        sample_healing(), language=Language.GERMAN, paper=Paper.A4
    ),
}

SHEETS |= {
    "plan sheet, German": lambda: plan_pdf(
        sample_plan_set(), paper=Paper.A4, language=Language.GERMAN
    ),
    "template, German": lambda: template_pdf(
        sample_plan_set(), paper=Paper.A4, language=Language.GERMAN
    ),
    "theatre card, German": lambda: theatre_card_pdf(
        sample_healing(), paper=Paper.A4, language=Language.GERMAN
    ),
    "ward card, German": lambda: ward_card_pdf(
        sample_healing(), paper=Paper.A4, language=Language.GERMAN
    ),
    "consent, German": lambda: consent_pdf(
        sample_healing(), recurrence_rates(), paper=Paper.A4, language=Language.GERMAN
    ),
}


@cache
def pages(name):
    return pages_of(SHEETS[name]())


def light(colour, view):
    """Return the luminance of a colour, sRGB in 0 to 1, as it is seen."""
    srgb = np.asarray(colour, float)
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    return float(np.clip(VIEWS[view] @ linear, 0, 1) @ [0.2126, 0.7152, 0.0722])


def contrast(one, two, view):
    low, high = sorted([light(one, view), light(two, view)])
    return (high + 0.05) / (low + 0.05)


def rgb(written):
    return [int(written[n : n + 2], 16) / 255 for n in (1, 3, 5)]


def as_rgb(colour):
    values = list(colour) if isinstance(colour, (tuple, list)) else [colour]
    return values * 3 if len(values) == 1 else values


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("name", SHEETS)
def test_every_word_stands_out_from_white_paper_to_every_eye(name, view):
    inks = {tuple(as_rgb(c["non_stroking_color"])) for page in pages(name) for c in page.chars}
    assert inks
    for ink in inks:
        assert contrast(ink, (1, 1, 1), view) >= LEAST_CONTRAST, ink


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    ("ink", "least"), [(BLACK, 4.5), (GREY, 4.5), (PEN, 4.5), (DYE, 3.0), (FASCIA, 3.0)]
)
@pytest.mark.parametrize("ground", [FLAP_TONE, BODY_TONE, DYE_SOFT])
def test_words_and_lines_stand_out_from_every_tone(ink, least, ground, view):
    """Words need 4.5, lines that mean something 3 (WCAG 2.2, 1.4.3 and 1.4.11)."""
    assert contrast(rgb(ink), rgb(ground), view) >= least


def test_pen_and_dye_cannot_be_told_apart_by_their_grey_alone():
    """Why line style must carry the meaning: their greys are nearly the same."""
    assert contrast(rgb(PEN), rgb(DYE), "grey") < 1.6


@pytest.mark.parametrize("name", SHEETS)
def test_no_figure_ends_in_a_nought_after_the_point_or_begins_with_the_point(name):
    text = " ".join(words_of(page) for page in pages(name))
    assert re.findall(r"(?<![\d.])\d+[.,]\d*0(?![\d.])", text) == []
    assert re.findall(r"(?<![\d\w])[.,]\d", text) == []


@pytest.mark.parametrize("name", SHEETS)
def test_no_length_or_volume_is_given_finer_than_a_whole_millimetre_or_millilitre(name):
    text = " ".join(words_of(page) for page in pages(name))
    text = re.sub(r"Dye\. .*? never press to reach it\.", "", text)  # a syringe has tenths
    assert re.findall(r"\d+[.,]\d+ (?:mm|mL|ml)\b", text) == []
