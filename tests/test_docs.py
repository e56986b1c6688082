"""The documents name every command, their case is a case, their pictures exist."""

import re
from pathlib import Path

import pytest

from crena.app.case_files import case_from_text
from crena.app.cli import cli
from crena.sinus.mapping import map_from_probing

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


def test_every_command_is_in_the_readme():
    commands = {command.name or command.callback.__name__ for command in cli.registered_commands}
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert {c for c in commands if f"crena {c}" not in readme and f"dev {c}" not in readme} == set()


def test_case_of_the_guide_is_a_case_that_can_be_mapped():
    guide = (ROOT / "docs" / "guide.md").read_text(encoding="utf-8")
    text = re.search(r"```json\n(.*?)```", guide, re.DOTALL).group(1)
    case = case_from_text(text, "guide")
    assert case.limits.drawn_margin_mm == 7.5
    assert map_from_probing(case).tracts[0].length_mm == pytest.approx(28)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_every_link_and_picture_exists(page):
    links = re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8"))
    assert [link for link in links if not (page.parent / link).exists()] == []


@pytest.mark.parametrize("name", ["README.md", "docs/guide.md"])
def test_pages_for_users_carry_the_caution(name):
    assert "not a medical device" in (ROOT / name).read_text(encoding="utf-8")


def test_every_assumed_range_of_the_case_file_is_listed():
    for words in ("drawn margin", "least true clearance", "anal verge", "pedicle", "edges"):
        assert words in (ROOT / "docs" / "assumptions.md").read_text(encoding="utf-8")
