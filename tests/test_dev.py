"""The bootstrap script and the benchmark runner, as far as they need no installation."""

import importlib.util
import json
from configparser import ConfigParser
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[1]

PYPROJECT = """
[build-system]
requires = ["hatchling"]
[project]
name = "x"
dependencies = ["numpy"]
[tool.ruff]
line-length = 100
"""


def load(name: str, path: Path) -> ModuleType:
    spec = importlib.util.spec_from_loader(name, SourceFileLoader(name, str(path)))
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def dev() -> ModuleType:
    return load("dev", ROOT / "dev")


@pytest.fixture
def runner(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(ROOT))
    return importlib.import_module("benchmarks.__main__")


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    (tmp_path / "requirements").mkdir()
    for name in ("installer", "run", "test"):
        (tmp_path / f"requirements/{name}.txt").write_text(f"{name}==1\n")
    (tmp_path / "pyproject.toml").write_text(PYPROJECT)
    return tmp_path


def test_the_rooms_that_are_gated_are_the_rooms_that_are_traced(dev: ModuleType) -> None:
    settings = ConfigParser()
    settings.read(ROOT / ".coveragerc", encoding="utf-8")
    traced = settings["run"]["source"].split()
    assert sorted(traced) == sorted(f"crena.{room}" for room in dev.CORE_ROOMS)


# --- the stamp of an environment


def test_the_stamp_of_an_unchanged_checkout_stays(dev: ModuleType, checkout: Path) -> None:
    assert dev.stamp(checkout, "run") == dev.stamp(checkout, "run")


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("requirements/run.txt", "==1", "==2"),
        ("requirements/installer.txt", "==1", "==2"),
        ("pyproject.toml", '"numpy"', '"scipy"'),
        ("pyproject.toml", '"hatchling"', '"hatchling>=1"'),
    ],
)
def test_the_stamp_changes_with_what_is_installed(
    dev: ModuleType, checkout: Path, name: str, old: str, new: str
) -> None:
    before = dev.stamp(checkout, "run")
    edit(checkout / name, old, new)
    assert dev.stamp(checkout, "run") != before


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [("requirements/test.txt", "==1", "==2"), ("pyproject.toml", "100", "90")],
)
def test_the_stamp_ignores_what_is_not_installed(
    dev: ModuleType, checkout: Path, name: str, old: str, new: str
) -> None:
    before = dev.stamp(checkout, "run")
    edit(checkout / name, old, new)
    assert dev.stamp(checkout, "run") == before


def test_a_moved_checkout_has_another_stamp(dev: ModuleType, checkout: Path) -> None:
    before = dev.stamp(checkout, "run")
    moved = checkout.rename(checkout.with_name("moved"))
    assert dev.stamp(moved, "run") != before


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))


# --- what is asked for


@pytest.mark.parametrize(("words", "code"), [([], 0), (["--help"], 0), (["rnu"], 2)])
def test_without_a_known_command_the_usage_is_shown(
    dev: ModuleType, capsys: pytest.CaptureFixture[str], words: list[str], code: int
) -> None:
    assert dev.main(words) == code
    assert "./dev test" in capsys.readouterr().out


def test_a_command_gets_the_words_after_it(
    dev: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setitem(dev.COMMANDS, "run", lambda rest: len(rest))
    assert dev.main(["run", "--once", "x"]) == 2


def test_a_step_that_failed_is_told_in_its_own_words(
    dev: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(rest: list[str]) -> int:
        raise dev.Failed("The disc is full.")

    monkeypatch.chdir(ROOT)
    monkeypatch.setitem(dev.COMMANDS, "run", fail)
    assert dev.main(["run"]) == 1
    assert capsys.readouterr().err == "The disc is full.\n"


def test_the_usage_names_every_command(dev: ModuleType) -> None:
    assert all(f"./dev {name} " in f"{dev.__doc__} " for name in dev.COMMANDS)


def test_one_failed_check_fails_all(dev: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    assert dev.verdict({"lint": 0, "types": 2}) == 1
    assert capsys.readouterr().err == "crena: Not in order: types.\n"
    assert dev.verdict({"lint": 0, "types": 0}) == 0


# --- addresses and paths


@pytest.mark.parametrize(
    "line",
    [
        "see " + "/" + "root/data",
        "open('" + "/" + "home/ann/scan.dcm')",
        "https:" + "//files." + "pythonhosted" + ".org/x.whl",
        "registry=https:" + "//registry." + "npmjs" + ".org",
        "--extra" + "-index-url x",
    ],
)
def test_an_address_or_a_path_of_one_machine_is_found(
    dev: ModuleType, tmp_path: Path, line: str
) -> None:
    (tmp_path / "page.md").write_text(f"first\n{line}\n")
    (found,) = dev.addresses(tmp_path, ["page.md"])
    assert found.startswith("page.md:2: ")


@pytest.mark.parametrize(
    "line", ["docs/home/page", "https://example.org/home/x", "../home/x", "/api/preview", "and/or"]
)
def test_a_relative_path_or_another_address_is_let_through(
    dev: ModuleType, tmp_path: Path, line: str
) -> None:
    (tmp_path / "page.md").write_text(line)
    assert dev.addresses(tmp_path, ["page.md"]) == []


def test_no_file_of_the_repository_names_a_registry_or_a_machine(dev: ModuleType) -> None:
    names = dev.repository_files(ROOT)
    assert "dev" in names
    assert dev.addresses(ROOT, names) == []


# --- pins


def test_every_pin_is_exact_and_hashed() -> None:
    for name in ("installer", "run", "test"):
        for pin in pins(name):
            assert "==" in pin.split(";")[0], pin
            assert "--hash=sha256:" in pin, pin


def test_all_that_runs_is_pinned_alike_for_the_tests() -> None:
    assert set(map(version, pins("run"))) < set(map(version, pins("test")))


def pins(name: str) -> list[str]:
    text = (ROOT / f"requirements/{name}.txt").read_text().replace("\\\n", " ")
    return [line for line in text.splitlines() if line and not line.lstrip().startswith("#")]


def version(pin: str) -> str:
    return pin.split()[0]


# --- the benchmark runner


def test_the_ratio_of_two_ways_is_that_of_their_times(runner: ModuleType) -> None:
    now_s = [0.0]

    def take(seconds: float) -> None:
        now_s[0] += seconds

    ratio = runner.benchmarks.interleaved(
        lambda: take(2.0), lambda: take(7.0), 5, clock=lambda: now_s[0]
    )
    assert ratio == 3.5


def test_benchmarks_are_chosen_by_name_or_by_module(runner: ModuleType) -> None:
    found = {"solves": {"a": 1, "b": 2}, "curves": {"c": 3}}
    assert runner.choose([], found) == {"a": 1, "b": 2, "c": 3}
    assert runner.choose(["c", "solves"], found) == {"c": 3, "a": 1, "b": 2}
    with pytest.raises(KeyError, match="no benchmark d. Known: a, b, c, curves, solves"):
        runner.choose(["d"], found)


def test_rows_are_printed_and_written(
    runner: ModuleType,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    row = runner.Row(name="a", value=8.25, unit="x", bar=">= 8", met=True)
    monkeypatch.setattr(
        runner, "discover", lambda: {"solves": {"a": lambda: row, "b": lambda: 1 / 0}}
    )
    assert runner.main(["a", "--json", str(tmp_path / "rows.json")]) == 0
    assert capsys.readouterr().out.splitlines()[1].split() == ["a", "8.25", "x", ">=", "8", "yes"]
    (written,) = json.loads((tmp_path / "rows.json").read_text())
    assert list(written) == ["name", "value", "unit", "bar", "met", "detail"]


def test_a_benchmark_that_breaks_off_leaves_a_row(
    runner: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    row = runner.measure("b", lambda: 1 / 0)
    assert (row.name, row.value, row.met) == ("b", None, False)
    assert "ZeroDivisionError" in row.detail
