"""What the demonstration and refusals really say is all in the catalogue."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from factory import PROVENANCE, case
from german_sheets import in_both, left_in_english, listening
from page_german import in_german
from printed_pages import pages_of
from pydantic import TypeAdapter
from sample_drains import ENDED, course
from sample_healing import sample_operated_case

from crena.app.case_files import read_case
from crena.app.demonstration import write_demonstration
from crena.app.demonstration_operation import operated_case
from crena.app.planning_job import SKINS, middle_skin, plan, plan_again
from crena.app.workers import Processes
from crena.draw import (
    Paper,
    consent_pdf,
    operation_note_pdf,
    plan_pdf,
    specimen_card_pdf,
    template_pdf,
    theatre_card_pdf,
    ward_card_pdf,
)
from crena.healing.agenda import agenda
from crena.healing.anaesthetic import AnaestheticDose, LocalAnaesthetic, check_local_anaesthetics
from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_rates import drain_days
from crena.healing.dye import Dye, check_dye
from crena.healing.operation_note import note_text
from crena.healing.schedule import schedule
from crena.imaging import read_series
from crena.planning.aftercare import healing_plan
from crena.planning.compose import plan_case
from crena.planning.films import films_of
from crena.planning.readiness import known_map
from crena.planning.theatre import corners_as_planned
from crena.records import (
    AcuteSigns,
    Answer,
    Choice,
    CrenaError,
    DrainRule,
    Findings,
    HealingPlan,
    Language,
    Limits,
    OwnDay,
    PitEntry,
    PlanSet,
    Probing,
    ScheduleSettings,
    Side,
)
from crena.records.numbers import number_from
from crena.records.tracts import KnownMap
from crena.sinus.mapping import map_from_probing
from crena.store.tables import recurrence_rates, suture_tables

TODAY = date(2026, 11, 25)

TYPED = {
    "allergies", "call_at", "case_label", "code", "identifier", "inputs_hash", "label", "mark",
    "note", "schema", "title", "versions",
}  # fmt: skip
"""What people typed or paper alone shows; a note and its title are checked as a text."""


def texts(record, kind):
    """Yield every text with a blank in it that a record holds, as the page gets it."""
    yield from _within(TypeAdapter(kind).dump_python(record, mode="json"))


def _within(value):
    if isinstance(value, dict):
        for key, part in value.items():
            if key not in TYPED:
                yield from _within(part)
    elif isinstance(value, list):
        for part in value:
            yield from _within(part)
    elif isinstance(value, str) and " " in value:
        yield value


def english(said):
    return sorted({text for text in said if in_german(text) is None})


@pytest.fixture(scope="module")
def steps():
    return []


@pytest.fixture(scope="module")
def entered(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder, TODAY, lambda step, share: None)
    return read_case(folder / "case.json"), read_series(folder / "mri")


@pytest.fixture(scope="module")
def made(entered, steps):
    with Processes(2) as workers:
        return plan(*entered, TODAY, workers, lambda step, share: steps.append(step))


@pytest.fixture(scope="module")
def operated(entered, made):
    return operated_case(entered[0], made, TODAY - timedelta(days=4))


def test_the_plans_of_the_demonstration(made):
    assert english(texts(made, PlanSet)) == []


def test_what_planning_is_doing(made, steps):
    assert english(steps) == []
    assert f"Pull of {len(made.plans)} plans on {SKINS} skins" in steps


def test_the_healing_of_the_demonstration(operated, made):
    said = texts(healing_plan(operated, made, suture_tables(), TODAY), HealingPlan)
    sources = {"USP <881>"}
    assert set(english(said)) <= sources


@pytest.mark.parametrize("paper", list(Paper))
def test_the_plan_sheet_and_template_of_the_demonstration(entered, made, paper, monkeypatch):
    films = films_of(made, middle_skin(entered[0]))
    how = {"paper": paper, "language": Language.GERMAN}
    with listening(monkeypatch) as heard:
        plans, template = plan_pdf(made, films=films, **how), template_pdf(made, **how)
    assert left_in_english(heard) == []
    english = plan_pdf(made, films=films, paper=paper)
    assert in_both(english, plans) == []
    assert in_both(template_pdf(made, paper=paper), template) == []
    assert len(pages_of(plans)) == len(pages_of(english))


def consent(healing, **how):
    return consent_pdf(healing, recurrence_rates(), **how)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize(
    "printed", [theatre_card_pdf, ward_card_pdf, specimen_card_pdf, operation_note_pdf, consent]
)
def test_the_cards_of_the_demonstration(operated, made, printed, paper, monkeypatch):
    healing = healing_plan(operated, made, suture_tables(), TODAY)
    with listening(monkeypatch) as heard:
        german = printed(healing, paper=paper, language=Language.GERMAN)
    assert left_in_english(heard) == []
    english = printed(healing, paper=paper)
    assert in_both(english, german) == []
    if printed is not operation_note_pdf:
        assert len(pages_of(german)) == len(pages_of(english))


def test_the_note_of_the_demonstration(operated, made):
    note = healing_plan(operated, made, suture_tables(), TODAY).note
    assert english(note_text(note).removesuffix("\n").split("\n")) == ["Invented operation."]


def test_a_whole_note():
    plain = healing_plan(sample_operated_case(), None, suture_tables(), TODAY)
    typed = ("Invented",)
    said = english(note_text(plain.note).split("\n"))
    assert [line for line in said if not line.startswith(typed)] == []


def test_the_agenda_on_every_day_of_a_year(operated):
    dates = schedule(operated.operation.operated_on)
    for days in range(0, 400, 7):
        today = operated.operation.operated_on + timedelta(days=days)
        tasks = [each.task for each in agenda(operated, dates, None, today)]
        said = [text for each in tasks for text in (each.task, each.caution, each.source)]
        assert english(text for text in said if text) == []


def test_plans_in_theatre(entered, made, monkeypatch):
    operation = replace(
        operated_case(entered[0], made, TODAY).operation,
        measured=_corners(made),
        defect_depth_mm=35.0,
    )
    found = replace(entered[0], operation=operation)
    again = plan_again(found, made, TODAY, lambda *_: None)
    assert english(texts(again, PlanSet)) == []
    with listening(monkeypatch) as heard:
        plan_pdf(again, paper=Paper.A4, language=Language.GERMAN)
        template_pdf(again, paper=Paper.A4, language=Language.GERMAN)
    assert left_in_english(heard) == []


def _corners(made):
    first, *others = corners_as_planned(made.plans[0])
    moved = replace(first, above_coccyx_tip_mm=first.above_coccyx_tip_mm + 5.0)
    return (moved, *others)


@pytest.mark.parametrize("days", [0, 3, 4, 9, 14, 22])
@pytest.mark.parametrize("volumes", [(), (40.0, 30.0), (9.0, 8.0, 7.0), (60.0, 3.0), (10.0, 90.0)])
def test_forecasts_of_drains(days, volumes):
    today = (ENDED + timedelta(days=days)).date()
    said = forecast_drain(course(*volumes), DrainRule(readings=2), today=today)
    assert english([said.words, *said.cautions, *said.evidence]) == []


@pytest.mark.parametrize("hours", [6, 24, 48])
@pytest.mark.parametrize("volumes", [(None,), (30.0,), (10.0, 12.0, 14.0), (300.0,)])
def test_cautions_on_readings(hours, volumes):
    assert english(drain_days(course(*volumes, hours=hours)).cautions) == []


SIGNS = [
    AcuteSigns(),
    AcuteSigns(redness=Answer.YES, fever=Answer.YES),
    AcuteSigns(**dict.fromkeys(["redness", "swelling", "warmth", "pus_under_pressure"], Answer.NO)),
]
BESIDE = PitEntry(name="1", above_coccyx_tip_mm=30.0, off_midline_mm=4.0)
STEEP = Probing(tract="T9", pit="1", from_cranial_deg=0.0, length_mm=20.0, tip_depth_mm=30.0)


@pytest.mark.parametrize(
    "changes",
    [
        *({"findings": Findings(seen_on=TODAY, acute_signs=signs)} for signs in SIGNS),
        {"findings": Findings(seen_on=TODAY + timedelta(days=3))},
        {"pits": (), "probings": ()},
        {"pits": (BESIDE,), "probings": ()},
        {"probings": (STEEP,)},
        {"limits": Limits(least_clearance_mm=9.0)},
    ],
)
def test_what_is_missing_before_a_plan(changes):
    known = known_map(case(**changes), TODAY)
    assert known.missing
    assert english(texts(known, KnownMap)) == []


def planned(**changes):
    plain = case(**changes)
    return plan_case(
        plain, map_from_probing(plain), replace(PROVENANCE, code="CTEST12"), today=TODAY
    )


def dye(**answers):
    asked = case().findings
    return replace(asked, allergies=replace(asked.allergies, **answers))


def anaesthetic(ml, kg, answer=Answer.NO):
    dose = AnaestheticDose(drug=LocalAnaesthetic.LIDOCAINE, volume_ml=ml, concentration_percent=1.0)
    return check_local_anaesthetics([dose], kg, dye(local_anaesthetic=answer), Answer.NO)


REFUSALS = {
    "no number": lambda: number_from("1.234,5"),
    "nothing": lambda: number_from(" ", what="The volume"),
    "far off the midline": lambda: planned(limits=Limits(base_to_length_ratio=3.0)),
    "lower end and side": lambda: planned(
        limits=Limits(base_to_length_ratio=2.0, flap_from=Side.LEFT)
    ),
    "everything": lambda: planned(
        limits=Limits(lower_end_midline_mm=60.0, anal_verge_mm=80.0, base_to_length_ratio=3.0)
    ),
    "no such plan": lambda: planned(choice=Choice(plan="Z")),
    "other plans": lambda: planned(choice=Choice(plan="A", code="OTHER")),
    "acute": lambda: planned(findings=Findings(seen_on=TODAY, acute_signs=SIGNS[1])),
    "dye allergy": lambda: check_dye(Dye.METHYLENE_BLUE, 1.0, 1.0, 70.0, dye(dye=Answer.YES)),
    "dye unasked": lambda: check_dye(Dye.METHYLENE_BLUE, 1.0, 1.0, 70.0, dye(dye=Answer.NOT_ASKED)),
    "no weight": lambda: anaesthetic(10.0, None),
    "odd weight": lambda: anaesthetic(10.0, 7.0),
    "odd volume": lambda: anaesthetic(-1.0, 70.0),
    "anaesthetic allergy": lambda: anaesthetic(1.0, 70.0, Answer.YES),
    "anaesthetic unasked": lambda: anaesthetic(1.0, 70.0, Answer.NOT_ASKED),
    "day with hours": lambda: schedule(datetime(2026, 11, 25, 8)),
    "odd year": lambda: schedule(date(1026, 11, 25)),
    "no such date": lambda: schedule(
        TODAY, ScheduleSettings(own_days=(OwnDay(code="moon", on=TODAY),))
    ),
}


@pytest.mark.parametrize("refused", REFUSALS.values(), ids=REFUSALS)
def test_refusals(refused):
    with pytest.raises(CrenaError) as why:
        refused()
    assert english([str(why.value)]) == []


@pytest.mark.parametrize("kind", Dye)
def test_flags_of_dyes_and_anaesthetics(kind):
    dose = check_dye(kind, 60.0, 1.0, 60.0, dye(dye=Answer.NO))
    assert english([*dose.flags, *anaesthetic(80.0, 60.0).flags]) == []
