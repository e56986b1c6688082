"""The one reader of people's numbers."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crena.records import InputError, number_from


@pytest.mark.parametrize(
    ("typed", "value"), [("12.5", 12.5), ("12,5", 12.5), (" -3 ", -3.0), ("−2", -2.0), (",5", 0.5)]
)
def test_plain_numbers_are_read_with_point_or_comma(typed, value):
    assert number_from(typed) == value


@pytest.mark.parametrize(
    "typed", ["1.234,5", "1.2.3", "1e3", "12 mm", "nan", "inf", "1 2", "٣", "0x1", "1_000"]
)
def test_what_could_mean_two_things_is_refused_with_a_sentence(typed):
    with pytest.raises(InputError, match="not one plain number"):
        number_from(typed)


@pytest.mark.parametrize("typed", ["", "  "])
def test_nothing_is_no_number(typed):
    with pytest.raises(InputError, match="The number is missing"):
        number_from(typed)


@given(st.decimals(-99_999, 99_999, places=3))
def test_point_and_comma_are_read_alike(value):
    typed = f"{value:f}"
    assert number_from(typed) == number_from(typed.replace(".", ",")) == float(value)


def read_by_hand(typed):
    """Return what a plain number means, sign by sign; None for anything else."""
    body = typed.strip().replace("\u2212", "-")
    sign = -1 if body[:1] == "-" else 1
    body = body[1:] if body[:1] in ("+", "-") else body
    marks = [i for i, c in enumerate(body) if c in ".,"]
    whole, tail = (body[: marks[0]], body[marks[0] + 1 :]) if marks else (body, None)
    digits = whole + (tail or "")
    if len(marks) > 1 or not digits or set(digits) - set("0123456789"):
        return None
    if tail == "" or max(len(whole), len(tail or "")) > 9:
        return None
    return sign * int(digits) / 10 ** len(tail or "")


def test_10_000_strings_are_read_as_by_hand_or_refused():
    """Numbers as people type them, then spoilt by up to two signs."""
    drawn, read = random.Random(7), 0
    for _ in range(10_000):
        signs = list(f"{drawn.uniform(-2000, 2000):.{drawn.randrange(4)}f}")
        for _ in range(drawn.randrange(3)):
            signs.insert(drawn.randrange(len(signs) + 1), drawn.choice(".,,+-\u2212 e0'_x٣½"))
        typed = "".join(signs).replace(".", drawn.choice(".,"))
        meant = read_by_hand(typed)
        read += meant is not None
        if meant is None:
            with pytest.raises(InputError, match="not one plain number"):
                number_from(typed)
        else:
            assert number_from(typed) == pytest.approx(meant, rel=1e-15), typed
    assert 3_000 < read < 7_000
