"""Backup, restore and verification on the command line."""

import factory
import pytest
from databases import new_store
from typer.testing import CliRunner

from crena.app.cli import cli
from crena.app.demonstration import LABEL
from crena.app.keeping import backed_up, restored, store_in, verified
from crena.app.server.demonstrations import keep_demonstration
from crena.records import Author, CrenaError, Dossier, InputError, PatientLabel
from crena.store.files import keep_file
from crena.store.revisions import create_case


@pytest.fixture
def data(tmp_path):
    """A folder with one case and one file."""
    store = new_store("sqlite", tmp_path)
    create_case(store, Dossier(case=factory.case()), Author(by="surgeon", why="clinic"))
    keep_file(store, [b"content"])
    store.engine.dispose()
    return tmp_path


def test_a_backup_says_what_it_holds_and_is_restored(data, tmp_path):
    said = backed_up(data, tmp_path / "all.zip")
    assert "1 cases, 1 saved states, 1 files, read back whole" in said
    assert "1 cases, 1 saved states" in restored(tmp_path / "all.zip", tmp_path / "new")
    assert "all as they were saved" in verified(tmp_path / "new", tmp_path / "all.zip")


def test_an_older_state_of_the_folder_is_found_by_a_later_backup(data, tmp_path):
    backed_up(data, tmp_path / "first.zip")
    restored(tmp_path / "first.zip", tmp_path / "old")
    store = new_store("sqlite", data)
    create_case(store, Dossier(case=factory.case(seed=2)), Author(by="surgeon", why="clinic"))
    store.engine.dispose()
    backed_up(data, tmp_path / "second.zip")
    with pytest.raises(CrenaError, match="does not contain the entry 2"):
        verified(tmp_path / "old", tmp_path / "second.zip")


def test_a_folder_without_cases_is_said_to_be_one(tmp_path):
    with pytest.raises(InputError, match="There are no cases in"):
        verified(tmp_path, None)


def test_the_commands_call_them(data, tmp_path):
    runner = CliRunner()
    target = str(tmp_path / "cli.zip")
    assert runner.invoke(cli, ["backup", target, "--data", str(data)]).exit_code == 0
    assert runner.invoke(cli, ["restore", target, "--data", str(tmp_path / "n")]).exit_code == 0
    found = runner.invoke(cli, ["verify", "--data", str(tmp_path / "n"), "--against", target])
    assert (found.exit_code, "as they were saved" in found.stdout) == (0, True)


def test_the_demonstration_is_not_taken_for_another_case_whose_label_begins_alike(tmp_path):
    store = store_in(tmp_path)
    made = {
        label: create_case(
            store,
            Dossier(case=factory.case(patient=PatientLabel(label=label))),
            Author(by="surgeon", why="clinic"),
        ).case_id
        for label in (LABEL, f"{LABEL}2")
    }
    store.engine.dispose()
    assert keep_demonstration(tmp_path, tmp_path) == made[LABEL]
