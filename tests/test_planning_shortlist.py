"""From the front to the few: by geometry, by pull, and what falls out without a balance."""

import numpy as np
import pytest
from factory import case, tract_map

from crena.planning.compose import _verge, search
from crena.planning.shortlist import FEWEST_PLANS, MOST_CLOSED, shortlist
from crena.sinus.excise import field_of


@pytest.fixture(scope="module")
def families():
    plain, found = case(), tract_map()
    field = field_of(found, plain.precision)
    return search(field, plain.limits, _verge(found, field))


def names(short):
    return [family.family for family, _ in short.members]


def test_without_pull_geometry_decides(families):
    short = shortlist(families, case().limits)
    assert len(short.members) >= FEWEST_PLANS and not short.unbalanced


def test_pull_is_asked_of_few_and_can_change_the_choice(families):
    asked = []

    def pulls(members):
        asked.extend(members)
        return np.array([1.0 + 5.0 * (f.family == "Dufourmentel") for f, _ in members])

    short = shortlist(families, case().limits, pulls)
    assert 0 < len(asked) <= MOST_CLOSED
    plain = names(shortlist(families, case().limits))
    assert names(short).count("Dufourmentel") <= plain.count("Dufourmentel")


def test_what_found_no_balance_is_neither_shown_nor_forgotten(families):
    lost = []

    def pulls(members):
        kept = members[0][0].family
        lost.extend(m for m in members if m[0].family != kept)
        return np.array([20.0 if f.family == kept else np.inf for f, _ in members])

    short = shortlist(families, case().limits, pulls)
    assert lost and not {(f.family, i) for f, i in short.members} & {(f.family, i) for f, i in lost}
    assert short.unbalanced == {f.family for f, _ in lost}


def test_when_nothing_finds_a_balance_geometry_decides_again(families):
    short = shortlist(families, case().limits, lambda members: np.full(len(members), np.inf))
    assert short.unbalanced and isinstance(short.members, tuple)
