"""After the operation: what was operated on stays, whatever is corrected or planned later."""

from dataclasses import replace
from datetime import date

import factory
import pytest
from databases import KINDS
from printed_pages import pages_of, words_of
from sample_plans import sample_plan_set
from served_cases import CODE, changed, kept_plans, planned_case, road_of

from crena.app.server.plans import with_plans
from crena.app.server.theatre import _with_figures, _with_new_plans
from crena.planning.theatre import plan_that_was_cut
from crena.records import Author, Choice, ConflictError, OperationRecord, StoredPlans
from crena.store.revisions import plans_once_made, read_case, save_case

DATABASES = KINDS
TODAY = date.today()
WHO = Author(by="test", why="test")
DONE = OperationRecord(operated_on=TODAY, plan="B", plan_code=CODE)
LATER = StoredPlans(sha256="0" * 64, code="CLATER1", inputs_hash="", made_on="", version="")


@pytest.fixture
def path(store):
    """Store a case whose plan B was operated on, while plan A is chosen."""
    return planned_case(store, operation=DONE)


def last(store, path):
    return read_case(store, path.rsplit("/", 1)[1], WHO)


def relabel(entered):
    entered["patient"]["label"] = "Case 12, corrected"


def test_an_operated_case_is_not_planned_again(client, path):
    answer = client.post(f"{path}/plans")
    assert answer.status_code == 409
    assert "make a new case" in answer.json()["detail"]
    assert "remove it in Theatre" in answer.json()["detail"]
    assert client.get(path).json()["number"] == 1


def test_no_plan_of_ones_own_is_set_beside_what_was_operated_on(client, path):
    asked = {"code": CODE, "moved": {"of": "A", "moves": []}}
    answer = client.post(f"{path}/plans/own", json=asked)
    assert answer.status_code == 409 and "The operation is recorded" in answer.json()["detail"]


def test_plans_that_were_under_way_do_not_replace_those_operated_on(store, path):
    with pytest.raises(ConflictError, match="operation is recorded"):
        with_plans(last(store, path).dossier, LATER)


def test_a_case_whose_record_was_removed_is_planned_again(client, path):
    changed(client, path, lambda entered: entered.update(operation=None))
    assert client.post(f"{path}/plans").status_code == 202


def test_a_record_that_came_without_plans_may_be_planned(client, store, path):
    found = last(store, path)
    save_case(store, found.case_id, 1, replace(found.dossier, plans=None), WHO)
    assert client.post(f"{path}/plans").status_code == 202


def test_healing_follows_the_plan_operated_on_although_other_plans_are_there(
    client, store, path
):  # fmt: skip
    found = last(store, path)
    save_case(store, found.case_id, 1, replace(found.dossier, plans=LATER), WHO)
    healing = client.get(f"{path}/healing").json()
    assert (healing["code"], healing["plan"]["id"]) == (CODE, "B")
    note = client.get(f"{path}/sheets/operation-note.txt").text
    assert f"Plan that was followed: B of {CODE}" in note


def test_healing_goes_on_without_a_plan_that_the_case_never_had(client, path):
    def rename(entered):
        entered["operation"]["plan_code"] = 'C%"_'

    changed(client, path, rename)
    healing = client.get(f"{path}/healing").json()
    assert (healing["plan"], healing["support_reason"]) == (None, "there is no plan")
    assert healing["schedule"]["entries"]
    assert client.get(f"{path}/sheets/ward-card.pdf").status_code == 200


def test_plans_are_found_by_their_code_alone(store, path):
    case_id = path.rsplit("/", 1)[1]
    assert plans_once_made(store, case_id, CODE).code == CODE
    for other in ("", "%", "C", CODE[:-1], CODE + "%"):
        assert plans_once_made(store, case_id, other) is None


def test_a_corrected_label_blocks_neither_theatre_nor_healing(client, store):
    path = planned_case(store)
    changed(client, path, relabel)
    assert client.get(f"{path}/theatre").status_code == 200
    operated = planned_case(store, operation=DONE)
    changed(client, operated, relabel)
    assert client.get(f"{operated}/healing").json()["case_label"].startswith("Case 12, corrected")
    assert client.get(f"{operated}/theatre").status_code == 200


def test_theatre_shows_the_plan_that_the_record_names_not_the_one_chosen_later():
    made, done = sample_plan_set(), OperationRecord(operated_on=TODAY, plan="B", plan_code="")
    chosen = factory.case(choice=Choice(plan="A"), operation=replace(done, plan_code=made.code))
    assert plan_that_was_cut(chosen, made).id == "B"
    other = replace(chosen, operation=replace(done, plan_code="TOTHER1"))
    assert plan_that_was_cut(other, made).id == "A"


def test_the_plan_that_was_cut_is_the_chosen_one_where_the_record_has_no_letter():
    made, done = sample_plan_set(), OperationRecord(operated_on=TODAY)
    chosen = factory.case(choice=Choice(plan="B"), operation=replace(done, plan_code=made.code))
    assert plan_that_was_cut(chosen, made).id == "B"
    lettered = replace(chosen, operation=replace(done, plan="C"))
    assert plan_that_was_cut(lettered, made).id == "C"


def test_theatre_reads_aloud_the_side_of_the_plan_that_was_followed(client, store, path):
    changed(client, path, lambda entered: entered["operation"].update(plan="C"))
    found = last(store, path)
    other = kept_plans(store, "CLATER1", found.dossier.plans.inputs_hash)
    save_case(store, found.case_id, 2, replace(found.dossier, plans=other), WHO)
    start = client.get(f"{path}/theatre").json()
    assert (start["code"], start["plan"], start["flap_from"]) == (CODE, "C", "patient's left")


def test_theatre_names_no_side_of_another_plan_if_the_one_followed_is_not_kept(client, path):
    changed(client, path, lambda entered: entered["operation"].update(plan_code="CNEVER1"))
    answer = client.get(f"{path}/theatre")
    assert answer.status_code == 404 and "is not kept" in answer.json()["detail"]


def test_the_plan_that_was_cut_is_remembered_once_another_is_taken_in_theatre(client, store, path):
    found = last(store, path)
    cut = Choice(plan="B", code=CODE)
    entered = _with_new_plans(cut, found.dossier, kept_plans(store, "TTEST12"))
    save_case(store, found.case_id, 1, _with_figures(entered, kept_plans(store, "TTEST12")), WHO)
    taken = {"plan": "C", "plan_code": "TTEST12"}
    changed(client, path, lambda entered: entered["operation"].update(taken))
    start = client.get(f"{path}/theatre").json()
    assert (start["code"], start["plan"]) == (CODE, "B")


def test_a_case_corrected_after_its_operation_is_not_sent_back_on_its_road(client, path):
    changed(client, path, lambda entered: entered["limits"].update(drawn_margin_mm=9.0))
    road = road_of(client, path)
    assert road["excision"][0] == road["closure"][0] == road["marking"][0] == "done"
    for asked in ("sheets/template.pdf", "sheets/theatre-card.pdf", "template-pages?paper=A4"):
        answer = client.get(f"{path}/{asked}")
        assert answer.status_code == 409
        assert "Plan it again" not in answer.json()["detail"]
        assert "printed in Healing" in answer.json()["detail"]


@pytest.mark.parametrize("name", ["specimen-card.pdf", "ward-card.pdf", "operation-note.pdf"])
def test_what_was_done_is_printed_although_an_allergy_and_the_label_are_entered_later(
    client, path, name
):
    def correct(entered):
        relabel(entered)
        entered["findings"]["allergies"]["latex"] = "yes"

    changed(client, path, correct)
    answer = client.get(f"{path}/sheets/{name}")
    assert answer.status_code == 200, answer.text
    assert "Case 12, corrected" in " ".join(words_of(page) for page in pages_of(answer.content))
    assert client.get(f"{path}/sheets/template.pdf").status_code == 409


def test_a_specimen_card_of_a_plan_that_is_not_kept_says_so(client, path):
    changed(client, path, lambda entered: entered["operation"].update(plan_code="CNEVER1"))
    answer = client.get(f"{path}/sheets/specimen-card.pdf")
    assert answer.status_code == 404 and "is not kept" in answer.json()["detail"]


def test_theatre_reads_aloud_an_allergy_that_was_entered_after_the_plans(client, path):
    assert "Allergies: latex" not in client.get(f"{path}/theatre").json()["allergies"]
    changed(client, path, lambda entered: entered["findings"]["allergies"].update(latex="yes"))
    assert "Allergies: latex" in client.get(f"{path}/theatre").json()["allergies"]
