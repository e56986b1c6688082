"""Sign-off, bars and sheets: what makes a case ready for theatre, and what makes it not."""

from datetime import date

import pytest
from databases import BOTH_DATABASES
from printed_pages import pages_of, words_of
from sample_plans import sample_plan_set
from served_cases import CODE, changed, planned_case, road_of, take_in_theatre

from crena.app.server.side_words import typed_side
from crena.app.server.signing import BAR_SLACK_MM
from crena.records import OperationRecord, Side

RIGHT = {"plan": "A", "code": CODE, "side": "patient's right", "label": "Case 12",
         "identifier": "X-4711"}  # fmt: skip


@pytest.fixture
def path(store):
    return planned_case(store)


def sign(client, path, **typed):
    return client.post(f"{path}/sign", json={**RIGHT, **typed})


def printed(client, path, name="template.pdf"):
    answer = client.post(f"{path}/sheets/{name}?paper=A4")
    assert answer.status_code == 201, answer.text
    return answer.json()


def bars(client, path, across, along="100"):
    return client.post(f"{path}/bars", json={"across_mm": across, "along_mm": along})


def made_ready(client, path):
    assert sign(client, path).status_code == 200
    printed(client, path)
    assert bars(client, path, "100,2", "99.8").status_code == 200


def sheet_text(client, path, name):
    answer = client.get(f"{path}/sheets/{name}")
    assert answer.status_code == 200, answer.text
    return " ".join(words_of(page) for page in pages_of(answer.content))


def faults(answer):
    assert answer.status_code == 422, answer.text
    return {fault["loc"][1]: fault["code"] for fault in answer.json()["errors"]}


# --- the sign-off


@BOTH_DATABASES
def test_a_right_sign_off_becomes_a_revision_and_a_stop_done(client, path):
    answer = sign(client, path, label="  case 12 ", identifier="x-4711", side="RECHTS")
    signed = answer.json()["dossier"]["signed"]
    assert (signed["plan"], signed["code"], signed["flap_from"]) == ("A", CODE, Side.RIGHT)
    assert answer.json()["number"] == 2
    assert road_of(client, path)["closure"] == ("done", "signed")


@pytest.mark.parametrize("side", ["patient's left", "links", "both sides", "kein Lappen"])
def test_another_side_is_refused_and_the_right_one_is_not_given_away(client, path, side):
    answer = sign(client, path, side=side)
    assert faults(answer) == {"side": "other_side"}
    assert "right" not in answer.text and "rechts" not in answer.text
    assert client.get(path).json()["dossier"]["signed"] is None


@pytest.mark.parametrize("side", ["", "R", "r.", "L/R", "rt", "patient", "right left"])
def test_a_side_that_is_no_full_word_is_refused(client, path, side):
    assert faults(sign(client, path, side=side)) == {"side": "side_words"}


def test_another_patient_is_refused_and_the_right_one_is_not_given_away(client, path):
    answer = sign(client, path, label="Case 13", identifier="X-4712")
    assert faults(answer) == {"label": "other_label", "identifier": "other_identifier"}
    assert "Case 12" not in answer.text and "4711" not in answer.text


def test_every_wrong_entry_has_its_own_sentence_at_once(client, path):
    answer = sign(client, path, side="links", label="", identifier="X4711")
    assert set(faults(answer)) == {"side", "label", "identifier"}


def test_a_case_without_a_second_identifier_cannot_be_signed_off(client, store):
    path = planned_case(store)
    changed(client, path, lambda case: case["patient"].update(identifier=""))
    assert sign(client, path, identifier="").status_code == 409


def test_a_plan_other_than_the_one_that_was_seen_is_not_signed(client, path):
    assert sign(client, path, plan="B").status_code == 409
    assert sign(client, path, code="COTHER").status_code == 409


def test_no_plan_is_signed_before_one_is_chosen(client, store):
    path = planned_case(store, choice=None)
    answer = sign(client, path)
    assert answer.status_code == 422 and "No plan is chosen yet" in answer.json()["detail"]
    assert road_of(client, path)["closure"] == ("here", "choose_plan")


@pytest.mark.parametrize(("letter", "side"), [("A", Side.RIGHT), ("C", Side.LEFT), ("D", None)])
def test_each_plan_is_signed_with_the_side_that_it_takes(client, store, letter, side):
    path = planned_case(store, choice=letter)
    plan = next(plan for plan in sample_plan_set().plans if plan.id == letter)
    wanted = plan.closure.donor_side or ("both sides" if plan.closure.flaps else "no flap")
    assert side in (plan.closure.donor_side, None)
    assert sign(client, path, plan=letter, side=wanted).status_code == 200
    other = Side.LEFT if wanted != Side.LEFT else Side.RIGHT
    assert faults(sign(client, path, plan=letter, side=other)) == {"side": "other_side"}


def test_sides_are_read_in_both_languages_and_no_word_means_two():
    assert typed_side("Rechte Seite des Patienten") == Side.RIGHT
    assert typed_side("patient’s left") == Side.LEFT
    assert typed_side("l") is None


# --- void


@BOTH_DATABASES
def test_a_changed_case_makes_the_sign_off_void_and_the_road_says_so(client, path):
    made_ready(client, path)
    changed(client, path, lambda case: case["limits"].update(drawn_margin_mm=9))
    road = road_of(client, path)
    assert road["closure"] == ("old", "sign_off_void")
    assert road["marking"] == ("old", "not_signed")
    marking = client.get(f"{path}/marking").json()
    assert marking["signed"] is None and marking["void"]["plan"] == "A"
    assert marking["bars"] is None and marking["ready"] is False
    assert all(line["superseded"] for line in marking["issued"])
    assert sign(client, path).status_code == 409
    assert bars(client, path, "100").status_code == 409
    assert client.post(f"{path}/sheets/template.pdf").status_code == 409


def test_another_choice_makes_the_sign_off_void(client, path):
    made_ready(client, path)
    changed(client, path, lambda case: case["choice"].update(plan="B"))
    assert road_of(client, path)["closure"] == ("here", "sign_off_void")
    assert road_of(client, path)["marking"] == ("later", "not_signed")
    assert client.get(f"{path}/marking").json()["signed"] is None


def test_what_changes_no_plan_leaves_the_sign_off_standing(client, path):
    made_ready(client, path)
    changed(client, path, lambda case: case["preparation"].update(note="shaved"))
    assert road_of(client, path)["marking"] == ("done", "ready")


def test_a_sign_off_taken_back_takes_the_bars_with_it(client, path):
    made_ready(client, path)
    assert client.delete(f"{path}/sign").json()["dossier"]["bars"] is None
    assert road_of(client, path)["closure"] == ("here", "sign_off")
    assert client.get(f"{path}/marking").json()["issued"][0]["superseded"] is True


@pytest.mark.parametrize("name", ["template.pdf", "theatre-card.pdf"])
def test_the_sheets_of_a_plan_taken_in_theatre_do_not_say_that_it_was_signed_off(
    client, store, path, name
):
    sign(client, path)
    assert "igned off 20" in sheet_text(client, path, name)
    take_in_theatre(store, path, "C")
    text = sheet_text(client, path, name)
    assert "TTEST12" in text and "ot signed off" in text and "igned off 20" not in text


def test_the_sheets_of_another_letter_that_was_followed_are_not_signed_off(client, path):
    sign(client, path)
    done = {"operated_on": date.today().isoformat(), "plan_code": CODE, "plan": "C"}
    changed(client, path, lambda case: case.update(operation=done))
    assert "ot signed off" in sheet_text(client, path, "theatre-card.pdf")


def test_what_is_previewed_and_recorded_is_what_is_printed_of_a_plan_taken_in_theatre(
    client, store, path
):
    sign(client, path)
    printed(client, path)
    planned = client.get(f"{path}/template-pages/1").text
    assert client.get(f"{path}/template-pages/1").text == planned
    take_in_theatre(store, path, "C")
    assert client.get(f"{path}/template-pages/1").text != planned
    (*_, sheet) = printed(client, path)["revision"]["dossier"]["sheets"]
    assert (sheet["code"], sheet["plan"], sheet["signed_at"]) == ("TTEST12", "C", None)
    marking = client.get(f"{path}/marking").json()
    assert [line["superseded"] for line in marking["issued"]] == [False, True]
    assert (marking["plan"], marking["flap_from"]) == ("C", Side.LEFT)
    assert marking["signed"] is None


def test_the_print_of_a_plan_taken_in_theatre_is_not_measured_for_the_one_signed_off(
    client, store, path
):
    sign(client, path)
    take_in_theatre(store, path, "C")
    printed(client, path)
    answer = bars(client, path, "100")
    assert answer.status_code == 409 and "not signed off" in answer.json()["detail"]


def test_no_template_is_previewed_or_given_out_of_a_plan_that_is_not_kept(client, path):
    done = {"operated_on": date.today().isoformat(), "plan_code": "CNEVER1", "plan": "B"}
    changed(client, path, lambda case: case.update(operation=done))
    for answer in (
        client.get(f"{path}/template-pages"),
        client.post(f"{path}/sheets/template.pdf"),
        client.get(f"{path}/marking"),
    ):
        assert answer.status_code == 404 and "is not kept" in answer.json()["detail"]


def test_a_letter_recorded_without_a_code_is_the_plan_that_is_printed(client, path):
    sign(client, path)
    done = {"operated_on": date.today().isoformat(), "plan": "C"}
    changed(client, path, lambda case: case.update(operation=done))
    assert "ot signed off" in sheet_text(client, path, "theatre-card.pdf")
    assert client.get(f"{path}/marking").json()["plan"] == "C"


# --- bars


@BOTH_DATABASES
def test_a_case_is_ready_only_after_sign_off_print_and_both_bars(client, path):
    assert road_of(client, path)["marking"] == ("later", "not_signed")
    assert bars(client, path, "100").status_code == 409
    sign(client, path)
    assert road_of(client, path)["marking"] == ("here", "not_printed")
    assert bars(client, path, "100").status_code == 409
    printed(client, path)
    assert road_of(client, path)["marking"] == ("here", "measure")
    kept = bars(client, path, "100,5", "99.5").json()["dossier"]["bars"]
    assert (kept["across_mm"], kept["along_mm"]) == (100.5, 99.5)
    assert road_of(client, path)["marking"] == ("done", "ready")


def test_a_template_printed_before_the_sign_off_is_not_the_one_to_measure(client, path):
    printed(client, path)
    sign(client, path)
    assert client.get(f"{path}/marking").json()["issued"][0]["superseded"] is True
    assert bars(client, path, "100").status_code == 409


@pytest.mark.parametrize(
    ("typed", "code"),
    [("94.1", "bar_short"), ("97,3", "bar_short"), ("99.4", "bar_short"), ("103", "bar_long"),
     ("100.6", "bar_long"), ("10", "bar_range"), ("200", "bar_range"), ("", "no_number"),
     ("100 mm", "no_number"), ("1.000,0", "no_number"), ("nan", "no_number")],
)  # fmt: skip
def test_a_print_of_another_size_is_refused_at_its_bar(client, path, typed, code):
    sign(client, path)
    printed(client, path)
    assert faults(bars(client, path, typed)) == {"across_mm": code}
    assert faults(bars(client, path, "100", typed)) == {"along_mm": code}
    assert client.get(path).json()["dossier"]["bars"] is None


def test_a_wrong_bar_says_what_it_means_on_the_skin_and_what_to_do(client, path):
    sign(client, path)
    printed(client, path)
    fault = bars(client, path, "98.5").json()["errors"][0]
    assert fault["figures"]["off_mm"] == "1.5"
    assert float(fault["figures"]["skin_mm"]) > 1.0
    assert "Print" in fault["detail"] or "print at 100 %" in fault["detail"]
    assert f"{BAR_SLACK_MM} mm is allowed" in fault["detail"]


# --- sheets


@BOTH_DATABASES
def test_a_sheet_given_out_is_on_record_and_the_same_one_can_be_fetched(client, path):
    sign(client, path)
    made = printed(client, path)
    assert client.get(made["href"]).content.startswith(b"%PDF")
    (sheet,) = made["revision"]["dossier"]["sheets"]
    assert (sheet["kind"], sheet["plan"], sheet["code"]) == ("template.pdf", "A", CODE)
    before = client.get(path).json()["number"]
    client.get(f"{path}/sheets/template.pdf")
    client.get(f"{path}/marking")
    assert client.get(path).json()["number"] == before


def test_sheets_of_another_plan_are_listed_as_superseded_and_the_new_one_is_not(client, path):
    printed(client, path, "consent.pdf")
    changed(client, path, lambda case: case["choice"].update(plan="C"))
    printed(client, path, "consent.pdf")
    issued = client.get(f"{path}/marking").json()["issued"]
    assert [line["superseded"] for line in issued] == [False, True]


def test_a_consent_sheet_stays_good_when_the_plan_is_signed_off(client, path):
    printed(client, path, "consent.pdf")
    sign(client, path)
    assert client.get(f"{path}/marking").json()["issued"][0]["superseded"] is False


def test_a_sheet_that_cannot_be_drawn_is_not_on_record(client, path):
    assert client.post(f"{path}/sheets/operation-note.pdf").status_code == 404
    assert client.post(f"{path}/sheets/anything.pdf").status_code == 404
    assert client.get(path).json()["dossier"]["sheets"] == []


def test_the_template_is_seen_as_it_will_be_printed(client, path):
    pages = client.get(f"{path}/template-pages?paper=Letter").json()
    assert pages >= 2
    first = client.get(f"{path}/template-pages/1?paper=Letter")
    assert first.headers["content-type"] == "image/svg+xml"
    assert b"612pt" in first.content or b"612" in first.content[:400]
    assert client.get(f"{path}/template-pages/{pages + 1}").status_code == 404


def test_the_ruler_table_gives_whole_millimetres_and_full_sides(client, path):
    ruler = client.get(f"{path}/marking").json()["ruler"]
    assert [point["name"] for point in ruler["points"]] == list("ABCDEF")
    sides = {point["side"] for point in ruler["points"]}
    assert sides <= {Side.LEFT, Side.RIGHT, None}
    assert all(isinstance(point["off_midline_mm"], int) for point in ruler["points"])


def test_an_operation_that_was_done_leaves_nothing_to_print(client, store):
    operated = OperationRecord(operated_on=date(2026, 11, 20))
    path = planned_case(store, operation=operated)
    assert road_of(client, path)["marking"] == ("done", "operated_already")
    assert road_of(client, path)["closure"] == ("done", "chosen")


def test_what_was_done_can_be_printed_although_the_case_is_corrected_later(client, store):
    operated = OperationRecord(operated_on=date(2026, 11, 20), plan_code=CODE, plan="A")
    path = planned_case(store, operation=operated)
    changed(client, path, lambda case: case["limits"].update(drawn_margin_mm=9.0))
    assert client.get(f"{path}/sheets/operation-note.pdf").content.startswith(b"%PDF")
    answer = client.get(f"{path}/sheets/template.pdf")
    assert answer.status_code == 409
    assert "What was done can still be printed" in answer.json()["detail"]


def test_a_sheet_is_given_in_the_language_that_was_asked_for(client, path):
    answer = client.post(f"{path}/sheets/template.pdf?paper=A4&language=de")
    german = pages_of(client.get(answer.json()["href"]).content)
    english = pages_of(client.get(f"{path}/sheets/template.pdf?paper=A4").content)
    assert all("SEITE DES PATIENTEN" in words_of(page) for page in german)
    assert not any("SEITE DES PATIENTEN" in words_of(page) for page in english)
    shown = client.get(f"{path}/template-pages/1?language=de").content
    assert shown != client.get(f"{path}/template-pages/1").content
    assert client.get(f"{path}/sheets/template.pdf?language=fr").status_code == 422
