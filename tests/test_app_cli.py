"""The command line: files, exit codes, one sentence for every fault, nothing half-written."""

import json
import subprocess
import sys
from contextlib import redirect_stdout
from dataclasses import replace
from importlib.metadata import entry_points
from io import StringIO

import jsonschema
import pytest
from factory import case

from crena.app import cli as command_line
from crena.app.case_files import case_from_text, case_text, schema_text, write_whole
from crena.app.planning_job import PLAN_FILES
from crena.records import InputError, Limits


def run(*arguments):
    return command_line.outcome(
        lambda: command_line.cli([str(a) for a in arguments], standalone_mode=False)
    )


@pytest.fixture(scope="module")
def case_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("case") / "case.json"
    path.write_text(case_text(case()), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def printed(case_file):
    """Plan the case; give the folder and what was printed."""
    out, said = case_file.parent / "plan", StringIO()
    with redirect_stdout(said):
        assert run("plan", case_file, "--out", out) == 0
    return out, said.getvalue()


@pytest.fixture(scope="module")
def planned(printed):
    return printed[0]


def changed(case_file, tmp_path, change):
    raw = json.loads(case_file.read_text(encoding="utf-8"))
    change(raw)
    path = tmp_path / "changed.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    return path


def loaded_by(module):
    """Return the names of all modules that importing one brings in."""
    command = [sys.executable, "-c", f"import sys, {module}; print(*sys.modules)"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    return set(said)


def test_a_plan_waits_neither_for_a_database_nor_for_a_server_nor_for_the_healing():
    loaded = loaded_by("crena.app.cli")
    assert {"crena", "numpy", "typer"} <= loaded
    others = {"sqlalchemy", "alembic", "fastapi", "starlette", "uvicorn", "crena.app.healing_job"}
    assert others.isdisjoint(loaded)


def test_processes_that_are_started_beside_the_command_line_load_none_of_it():
    (command,) = entry_points(group="console_scripts", name="crena")
    assert command.module == "crena.__main__"  # each of them imports the script anew
    assert {"numpy", "typer", "crena.app.cli"}.isdisjoint(loaded_by(command.module))


def test_plan_writes_all_its_files_and_nothing_else(planned):
    assert sorted(p.name for p in planned.iterdir()) == sorted(PLAN_FILES)


def test_plan_file_keeps_its_published_schema(planned):
    written = json.loads((planned / "plan.json").read_text(encoding="utf-8"))
    jsonschema.validate(written, json.loads(schema_text("plan")))
    assert written["schema"] == "crena.plan/1" and 3 <= len(written["plans"]) <= 5
    first = written["plans"][0]
    assert set(first["closure"]["points_mm"]) == set("ABCDEF")
    assert first["scar"]["lower_end_midline_mm"] >= 20 - 1e-6


def test_case_file_keeps_its_published_schema(case_file):
    written = json.loads(case_file.read_text(encoding="utf-8"))
    jsonschema.validate(written, json.loads(schema_text("case")))


def test_case_comes_back_as_it_was_written():
    assert case_from_text(case_text(case()), "case.json") == case()


def test_same_inputs_give_the_same_files(planned, case_file, tmp_path):
    assert run("plan", case_file, "--out", tmp_path) == 0
    for name in PLAN_FILES:
        assert (tmp_path / name).read_bytes() == (planned / name).read_bytes()


def test_figures_that_matter_are_printed_with_their_units(printed):
    _, said = printed
    assert "mm off the midline" in said and "mL" in said and "not a medical device" in said


@pytest.mark.parametrize("name", ["case", "plan"])
def test_schema_is_printed_as_json(name, capsys):
    assert run("schema", name) == 0
    assert json.loads(capsys.readouterr().out)["additionalProperties"] is False


def set_in(*path, value):
    def change(raw):
        for step in path[:-1]:
            raw = raw[step]
        raw[path[-1]] = value

    return change


BAD = {
    "unknown key": (set_in("patient", "nickname", value="x"), "no field patient.nickname"),
    "negative": (set_in("probings", 0, "length_mm", value=-3), "probings[0].length_mm is -3"),
    "too long": (set_in("probings", 0, "length_mm", value=280), "at most 150 mm is allowed"),
    "not a number": (set_in("limits", "drawn_margin_mm", value="wide"), "not one plain number"),
    "thousands": (set_in("limits", "drawn_margin_mm", value="1.234,5"), "not one plain number"),
    "true": (set_in("limits", "drawn_margin_mm", value=True), "not a number"),
    "half word": (set_in("probings", 0, "side", value="left"), "patient's left"),
    "other schema": (set_in("schema", value="crena.case/9"), "crena.case/1"),
    "pit outside": (set_in("pits", 0, "above_coccyx_tip_mm", value=400), "at most 120 mm"),
    "no findings": (lambda raw: raw.pop("findings"), "findings is missing"),
    "unknown pit": (set_in("probings", 0, "pit", value="9"), "but the pits are: 1, 2"),
    "bone": (set_in("probings", 0, "tip_depth_mm", value=29.5), "into sacrum or muscle"),
    "future": (set_in("findings", "seen_on", value="2999-01-01"), "after today"),
    "date": (set_in("patient", "birth_date", value=0), "Write a day like 2026-11-25"),
    "same pit twice": (lambda raw: raw["pits"].append(raw["pits"][0]), "Two pits are called"),
    "hidden sign": (set_in("patient", "label", value="A\u202eB"), "cannot be printed"),
    "long label": (set_in("patient", "label", value="x" * 400), "cannot be printed"),
    "choice": (set_in("choice", value={"plan": "Q"}), "the plans are A"),
}


@pytest.mark.parametrize("what", BAD)
def test_bad_input_gets_one_sentence_exit_2_and_no_file(what, case_file, tmp_path, capsys):
    change, words = BAD[what]
    out = tmp_path / "plan"
    assert run("plan", changed(case_file, tmp_path, change), "--out", out) == 2
    said = capsys.readouterr().err
    assert words in said and "Traceback" not in said and len(said) < 400
    assert not out.exists()


TEXTS = {
    "decimal comma without quotes": ('{"schema": "crena.case/1", "seed": 12,5}', "decimal point"),
    "NaN": ('{"schema": "crena.case/1", "seed": NaN}', "NaN is not a number"),
    "twice": ('{"schema": "crena.case/1", "seed": 1, "seed": 2}', "stands twice"),
    "list": ("[1, 2]", "one JSON object"),
    "deep": ("[" * 100_000, "nested too deeply"),
    "empty": ("", "not valid JSON"),
}


@pytest.mark.parametrize("what", TEXTS)
def test_text_that_is_no_case_is_refused_in_a_sentence(what):
    text, words = TEXTS[what]
    with pytest.raises(InputError, match=words):
        case_from_text(text, "case.json")


def test_decimal_comma_in_quotes_is_read_like_a_point():
    text = case_text(case()).replace('"drawn_margin_mm": 7.0', '"drawn_margin_mm": "7,0"')
    assert case_from_text(text, "case.json").limits.drawn_margin_mm == 7.0


def test_missing_case_file_is_named(tmp_path, capsys):
    assert run("plan", tmp_path / "none.json", "--out", tmp_path / "plan") == 2
    assert "There is no file" in capsys.readouterr().err


def test_folder_without_a_scan_is_refused(case_file, tmp_path, capsys):
    (tmp_path / "mri").mkdir()
    code = run("plan", case_file, "--out", tmp_path / "plan", "--mri", tmp_path / "mri")
    assert code == 2 and not (tmp_path / "plan").exists()
    assert len(capsys.readouterr().err.strip().splitlines()) == 1


def test_folder_without_dicom_is_refused(case_file, tmp_path, capsys):
    (tmp_path / "mri").mkdir()
    (tmp_path / "mri" / "notes.txt").write_text("not an image")
    code = run("plan", case_file, "--out", tmp_path / "plan", "--mri", tmp_path / "mri")
    assert code == 2 and "DICOM" in capsys.readouterr().err


def test_clicks_without_their_scan_are_refused(case_file, tmp_path, capsys):
    point = [0.0, 0.0, 0.0]
    clicks = {f"{n}_lps_mm": point for n in ("coccyx_tip", "sacral_crest", "anal_verge")}
    path = changed(case_file, tmp_path, set_in("clicks", value=clicks))
    assert run("plan", path, "--out", tmp_path / "plan") == 2
    assert "--mri" in capsys.readouterr().err


def test_a_folder_in_the_place_of_a_file_leaves_everything_as_it_was(case_file, tmp_path, capsys):
    (tmp_path / "template.svg").mkdir()
    assert run("plan", case_file, "--out", tmp_path) == 2
    assert [p.name for p in tmp_path.iterdir()] == ["template.svg"]


def test_paper_and_language_may_be_written_small_or_large(case_file, tmp_path):
    options = ("--paper", "letter", "--language", "DE")
    assert run("plan", case_file, "--out", tmp_path, *options) == 0
    assert "SEITE DES PATIENTEN" in (tmp_path / "template.svg").read_text("utf-8")


def test_no_plan_ends_with_3_and_names_what_binds(tmp_path, capsys):
    path = tmp_path / "case.json"
    limits = replace(Limits(drawn_margin_mm=7.0), lower_end_midline_mm=60.0, anal_verge_mm=70.0)
    path.write_text(case_text(case(limits=limits)), encoding="utf-8")
    assert run("plan", path, "--out", tmp_path / "plan") == 3
    assert "would have to give" in capsys.readouterr().err
    assert not (tmp_path / "plan").exists()


def test_margin_that_no_skin_can_hold_ends_with_3(tmp_path, capsys):
    path = tmp_path / "case.json"
    limits = Limits(drawn_margin_mm=30.0, anal_verge_mm=45.0, lower_end_midline_mm=55.0)
    path.write_text(case_text(case(limits=limits)), encoding="utf-8")
    assert run("plan", path, "--out", tmp_path / "plan") == 3
    assert "No plan keeps all limits" in capsys.readouterr().err


def test_wrong_option_is_one_sentence(capsys):
    assert run("plan", "--nonsense") == 2
    assert "nonsense" in capsys.readouterr().err


def test_stopping_writes_nothing(case_file, tmp_path, monkeypatch, capsys):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line.planning_job, "sheets", stop)
    assert run("plan", case_file, "--out", tmp_path / "plan") == 130
    assert not (tmp_path / "plan").exists()
    assert "Nothing was written" in capsys.readouterr().err


def test_a_write_that_breaks_off_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "plan.json"
    write_whole(path, b"old")

    def fail(_):
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr("crena.app.case_files.os.fsync", fail)
    with pytest.raises(OSError):
        write_whole(path, b"new and longer")
    assert path.read_bytes() == b"old"
