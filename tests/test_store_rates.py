"""Published rates: what the sources say, and lines that are refused."""

import pytest

from crena.records import RECURRENCE, ClosureKind, InputError, Mark
from crena.store.tables import outcome_rate, recurrence_rates, table_from

HEAD = (
    "outcome,operation,kinds,months,rate_fraction,low_fraction,high_fraction,people,note,"
    "source,mark\n"
)


def read(line):
    return table_from(HEAD + line, "rates.csv", outcome_rate)


def published(kind, months, source):
    return [
        (rate.rate_fraction, rate.low_fraction, rate.high_fraction)
        for rate in recurrence_rates()
        if kind in rate.kinds and rate.months == months and rate.basis.source.startswith(source)
        and rate.basis.mark is Mark.PUBLISHED
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "months", "rate"),
    [
        (ClosureKind.LIMBERG, 12, (0.006, 0.003, 0.009)),
        (ClosureKind.DUFOURMENTEL, 24, (0.018, 0.011, 0.024)),
        (ClosureKind.ADVANCEMENT, 12, (0.002, 0.001, 0.003)),
        (ClosureKind.ADVANCEMENT, 24, (0.006, 0.005, 0.008)),
        (ClosureKind.MIDLINE, 240, (0.679, 0.533, 0.824)),
    ],
)
def test_rates_of_stauffer2018_by_technique_and_time(kind, months, rate):
    assert published(kind, months, "Stauffer 2018") == [rate]


def test_published_counts_give_the_published_fractions():
    rows = {(r.outcome, r.basis.source): r for r in recurrence_rates() if r.people}
    albabtain = rows[RECURRENCE, "Albabtain 2021"]
    assert albabtain.rate_fraction == pytest.approx(84 / albabtain.people, abs=0.0005)
    for outcome, count in (("wound edges part", 3), ("fluid under the flap", 7)):
        bali = rows[outcome, "Bali 2015"]
        assert bali.rate_fraction == pytest.approx(count / bali.people, abs=0.001)


def test_five_and_ten_years_are_known_from_memory_alone():
    late = [r for r in recurrence_rates() if r.months in (60, 120)]
    assert len(late) == 7
    assert {r.basis.mark for r in late} == {Mark.MEMORY}


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("recurrence,flap,Limberg,12,0.02,0.03,0.09,,,A 1999,published\n", "does not lie from"),
        ("recurrence,flap,Limberg,12,6,,,,,A 1999,published\n", "does not lie from 0 to 1"),
        ("recurrence,flap,Limberg,1.5,0.06,,,,,A 1999,published\n", "not a whole number"),
        ("recurrence,flap,Bilobed,12,0.06,,,,,A 1999,published\n", "is not one of"),
        ("recurrence,flap,Limberg,12,0.06,0.05,,,,A 1999,published\n", "one end"),
        ("recurrence,flap,Limberg,12,0.06,,,,,,published\n", "has no source"),
        ("recurrence,flap,Limberg,12,0.06,,,,,A 1999,\n", "has no mark"),
    ],
)
def test_a_rate_that_cannot_be_relied_on_is_refused(line, words):
    with pytest.raises(InputError, match=words):
        read(line)
