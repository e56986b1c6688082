"""The one reader of people's numbers."""

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
    "typed", ["1.234,5", "1.2.3", "1e3", "12 mm", "", "nan", "inf", "1 2", "٣", "0x1", "1_000"]
)
def test_what_could_mean_two_things_is_refused_with_a_sentence(typed):
    with pytest.raises(InputError, match="not one plain number"):
        number_from(typed)


@given(st.decimals(-99_999, 99_999, places=3))
def test_point_and_comma_are_read_alike(value):
    typed = f"{value:f}"
    assert number_from(typed) == number_from(typed.replace(".", ",")) == float(value)
