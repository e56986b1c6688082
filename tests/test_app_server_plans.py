"""Plans of a case as the server reads them: once, and never after they were changed."""

from served_cases import planned_case, road_of

from crena.app.server import plans
from crena.records import Author
from crena.store.files import place_of
from crena.store.revisions import read_case

ME = Author(by="test", why="test")


def test_the_text_of_plans_is_read_once_however_often_they_are_asked_for(
    client, store, monkeypatch
):
    texts, read = [], plans.plans_from_text
    monkeypatch.setattr(
        plans, "plans_from_text", lambda text, name: texts.append(text) or read(text, name)
    )
    path = planned_case(store)
    assert [road_of(client, path)["excision"][1] for _ in range(3)] == ["clear_by"] * 3
    assert client.get(f"{path}/plans").json()["chosen"] == "A"
    other = planned_case(store, choice="B")
    assert client.get(f"{other}/plans").json()["chosen"] == "B"
    assert client.get(f"{path}/plans").json()["chosen"] == "A"
    assert len(texts) == 1


def test_plans_whose_file_was_changed_are_not_shown_though_they_were_before(client, store):
    path = planned_case(store)
    assert client.get(f"{path}/road").status_code == 200
    stored = read_case(store, path.rpartition("/")[2], ME).dossier.plans
    place = place_of(store, stored.sha256)
    place.write_bytes(place.read_bytes().replace(b'"A"', b'"B"', 1))
    for what in ("road", "plans"):
        answer = client.get(f"{path}/{what}")
        assert answer.status_code == 500
        assert "is not what was stored" in answer.json()["detail"]
