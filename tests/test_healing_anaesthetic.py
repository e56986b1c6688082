"""Local anaesthetics: ceilings, summed parts, and what was not asked."""

from dataclasses import replace

import pytest
from factory import case

from crena.healing.anaesthetic import (
    CEILINGS,
    AnaestheticDose,
    LocalAnaesthetic,
    check_local_anaesthetics,
    most_mg,
)
from crena.records import Allergies, Answer, InputError

FINDINGS = case().findings
LIDOCAINE, BUPIVACAINE = LocalAnaesthetic.LIDOCAINE, LocalAnaesthetic.BUPIVACAINE


def checked(*doses, weight_kg=70.0, findings=FINDINGS, frail=Answer.NO):
    return check_local_anaesthetics(doses, weight_kg, findings, frail)


def dose(drug, volume_ml, concentration_percent, **more):
    return AnaestheticDose(
        drug=drug, volume_ml=volume_ml, concentration_percent=concentration_percent, **more
    )


@pytest.mark.parametrize(("adrenaline", "volume_ml"), [(False, 30.0), (True, 49.0)])
def test_lidocaine_at_70_kg_is_30_or_49_ml_of_1_percent(adrenaline, volume_ml):
    """Plain 4.5 mg/kg, capped at 300 mg; with adrenaline 7 mg/kg, 490 mg (label values)."""
    found = checked(dose(LIDOCAINE, volume_ml, 1.0, adrenaline=adrenaline))
    assert found.sum_fraction == pytest.approx(1.0, abs=1e-12) and found.within
    more = checked(dose(LIDOCAINE, volume_ml + 0.1, 1.0, adrenaline=adrenaline))
    assert not more.within and any("Give less" in flag for flag in more.flags)


def test_parts_of_two_drugs_add_up_by_hand():
    """60 kg: 10 mL of 2 % lidocaine 200/270, 10 mL of 0.5 % bupivacaine 50/120."""
    found = checked(dose(LIDOCAINE, 10, 2), dose(BUPIVACAINE, 10, 0.5), weight_kg=60)
    assert found.fractions == pytest.approx((200 / 270, 50 / 120))
    assert found.sum_fraction == pytest.approx(1.15741, abs=1e-5)
    assert not found.within and any("116 %" in flag for flag in found.flags)


def test_splitting_a_dose_changes_nothing():
    whole, parts = dose(LIDOCAINE, 20, 1), (dose(LIDOCAINE, 7, 1), dose(LIDOCAINE, 6.5, 2))
    assert checked(*parts).sum_fraction == pytest.approx(checked(whole).sum_fraction)


@pytest.mark.parametrize("drug", list(LocalAnaesthetic))
def test_the_ceiling_grows_with_weight_up_to_its_cap_and_never_falls_with_adrenaline(drug):
    weights = range(20, 301, 5)
    plain = [most_mg(drug, w, Answer.NO) for w in weights]
    mixed = [most_mg(drug, w, Answer.NO, adrenaline=True) for w in weights]
    assert plain == sorted(plain) and plain[-1] == CEILINGS[drug].plain_mg
    assert all(m >= p for m, p in zip(mixed, plain, strict=True))


@pytest.mark.parametrize("answer", [Answer.YES, Answer.NOT_ASKED])
def test_frailty_lowers_the_ceiling_also_while_it_was_not_asked(answer):
    found = checked(dose(LIDOCAINE, 30, 1), frail=answer)
    assert found.sum_fraction == pytest.approx(1 / 0.7) and not found.within
    said = " ".join(found.flags)
    assert ("Not asked: frailty" in said) == (answer is Answer.NOT_ASKED)


@pytest.mark.parametrize(
    ("answer", "words"), [(Answer.YES, "Settle which drug"), (Answer.NOT_ASKED, "Ask before any")]
)
def test_a_known_or_unasked_allergy_stops_the_check(answer, words):
    findings = replace(FINDINGS, allergies=Allergies(local_anaesthetic=answer))
    with pytest.raises(InputError, match=words):
        checked(dose(LIDOCAINE, 1, 1), findings=findings)


def test_not_a_number_is_never_within():
    found = checked(dose(LIDOCAINE, float("nan"), 1))
    assert not found.within and any("Give less" in flag for flag in found.flags)


@pytest.mark.parametrize("weight_kg", [None, 0.0, 700.0])
def test_a_weight_that_is_missing_or_cannot_be_meant_is_refused(weight_kg):
    with pytest.raises(InputError, match="[Ww]eight"):
        checked(dose(LIDOCAINE, 1, 1), weight_kg=weight_kg)


def test_the_mark_of_the_figures_is_always_said():
    said = " ".join(checked().flags)
    assert "from memory" in said and "low authority" in said and "ideal weight" in said
