"""The timing gate and the dye check."""

from dataclasses import fields, replace
from datetime import date

import pytest
from factory import CALM, TODAY, case

from crena.healing.dye import check_methylene_blue
from crena.healing.timing import timing
from crena.records import AcuteSigns, Allergies, Answer, Drugs, InputError

FINDINGS = case().findings


@pytest.mark.parametrize("sign", [f.name for f in fields(AcuteSigns)])
def test_any_acute_sign_refuses_a_plan_s3_2020(sign):
    """German S3 guideline 2020: abscess first unroofed, definitive surgery afterwards."""
    acute = replace(FINDINGS, acute_signs=replace(CALM, **{sign: Answer.YES}))
    found = timing(acute, TODAY, 42)
    assert not found.ready
    assert found.recheck_on == date(2027, 1, 1)
    assert "Acute stage" in found.reason and "S3" in found.background


@pytest.mark.parametrize("sign", [f.name for f in fields(AcuteSigns)])
def test_any_unasked_sign_refuses_a_plan(sign):
    unasked = replace(FINDINGS, acute_signs=replace(CALM, **{sign: Answer.NOT_ASKED}))
    found = timing(unasked, TODAY, 42)
    assert not found.ready and "Not asked" in found.reason


def test_no_sign_lets_the_plan_go_on():
    assert timing(FINDINGS, TODAY, 42).ready


def test_recheck_is_never_in_the_past():
    old = replace(FINDINGS, seen_on=date(2026, 1, 1), acute_signs=replace(CALM, fever=Answer.YES))
    assert timing(old, TODAY, 14).recheck_on == TODAY


def test_a_finding_from_tomorrow_is_refused():
    with pytest.raises(InputError, match="after today"):
        timing(replace(FINDINGS, seen_on=date(2026, 11, 26)), TODAY, 42)


def test_methylene_blue_2_ml_of_1_percent_at_70_kg_with_a_serotonergic_drug():
    """0.286 mg/kg; the flag is raised at any dose (review of 26 cases, 2010)."""
    found = check_methylene_blue(
        2.0, 1.0, 70.0, replace(FINDINGS, drugs=Drugs(serotonergic=Answer.YES))
    )
    assert found.dose_ratio == pytest.approx(0.2857, abs=1e-3)
    assert any("serotonin toxicity at any dose" in flag for flag in found.flags)


@pytest.mark.parametrize("answer", [Answer.YES, Answer.NOT_ASKED])
def test_dye_is_refused_while_allergy_is_known_or_not_asked(answer):
    with pytest.raises(InputError, match="llergy to dye"):
        check_methylene_blue(2.0, 1.0, 70.0, replace(FINDINGS, allergies=Allergies(dye=answer)))


@pytest.mark.parametrize(("volume", "words"), [(6.0, "monoamine"), (60.0, "above 7 mg/kg")])
def test_large_doses_are_flagged(volume, words):
    found = check_methylene_blue(volume, 1.0, 70.0, FINDINGS)
    assert any(words in flag for flag in found.flags)


def test_not_a_number_never_passes_the_dose_limits():
    found = check_methylene_blue(float("nan"), 1.0, 70.0, FINDINGS)
    assert any("above" in flag for flag in found.flags)
