"""Every hazard has a guard, and a test that turns red when the guard is taken away."""

import importlib
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
import yaml

ROOT = Path(__file__).parent.parent
HAZARDS = yaml.safe_load((ROOT / "hazards.yaml").read_text(encoding="utf-8"))
FIELDS = {"id", "hazard", "cause", "harm", "severity", "guard", "instead", "test"}
UNUSED = ("cacheprovider", "xdist", "cov", "unraisableexception", "threadexception")
"""Plugins that a run within a run does without; the last two would walk through all memory."""

QUIET = ["-q", "--no-header", *(word for name in UNUSED for word in ("-p", f"no:{name}")), "-x"]


def taken_away(off):
    """Return what stands in the guard's place."""
    if off == "first":
        return lambda *args, **kwargs: args[0]
    if off == "second":
        return lambda *args, **kwargs: args[1]
    if off == "nothing":
        return lambda *args, **kwargs: None
    if isinstance(off, dict):
        return lambda *args, **kwargs: SimpleNamespace(**off)
    return lambda *args, **kwargs: tuple(off) if isinstance(off, list) else off


def owner_of(dotted):
    """Return the object that holds the guard, and the guard's name."""
    parts = dotted.split(".")
    for cut in range(len(parts) - 1, 0, -1):
        try:
            thing = importlib.import_module(".".join(parts[:cut]))
        except ModuleNotFoundError:
            continue
        for part in parts[cut:-1]:
            thing = getattr(thing, part)
        return thing, parts[-1]
    raise AssertionError(f"no module in {dotted}")


def outcome_of(*tests):
    """Run tests by themselves; sheets printed before must not stand in for new ones."""
    for name, module in list(sys.modules.items()):
        if name.startswith("test_draw") and hasattr(module, "printed"):
            module.printed.cache_clear()
    return pytest.main([*QUIET, "-W", "ignore", *(f"{ROOT}/{test}" for test in tests)], plugins=[])


def test_every_hazard_is_whole_and_named_once():
    assert all(set(row) == FIELDS for row in HAZARDS)
    assert len({row["id"] for row in HAZARDS}) == len(HAZARDS)
    assert {row["severity"] for row in HAZARDS} <= {"S2", "S3", "S4", "S5"}


def test_with_every_guard_in_its_place_their_tests_are_green():
    tests = dict.fromkeys(row["test"] for row in HAZARDS)
    assert outcome_of(*tests) == pytest.ExitCode.OK


@pytest.mark.parametrize("row", HAZARDS, ids=lambda row: row["id"])
def test_a_guard_s_test_turns_red_without_it(row, monkeypatch):
    thing, name = owner_of(row["guard"])
    assert callable(getattr(thing, name))
    monkeypatch.setattr(thing, name, taken_away(row["instead"]))
    assert outcome_of(row["test"]) == pytest.ExitCode.TESTS_FAILED
