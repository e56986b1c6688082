"""Classes by where the pits lie."""

import pytest

from crena.records import Answer, Origin, Pit
from crena.sinus.classify import classify


def pits(*across):
    return [
        Pit(name=str(n), at_mm=(s, 10.0 * n), position_mm=(s, 10.0 * n, 0.0), radius_mm=1.0,
            origin=Origin.PROBING)
        for n, s in enumerate(across)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("across", "label"),
    [((0.0, 2.0), "I"), ((14.0,), "II"), ((-9.0, 12.0), "III"), ((0.0, -20.0), "IV")],
)
def test_class_irkorucu_by_pits(across, label):
    assert classify(pits(*across), Answer.NO).label == label


def test_recurrent_disease_has_its_own_class_irkorucu():
    assert classify(pits(0.0), Answer.YES).label == "V"


def test_definition_stands_beside_the_class_and_says_what_was_not_asked():
    found = classify(pits(0.0), Answer.NOT_ASKED)
    assert "not asked" in found.definition and found.scheme.startswith("Irk")
