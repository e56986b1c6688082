"""Every sentence that the source says to people, as the forms from which it builds them.

A form is the text of a string or f-string with `{}` for what is filled in. What follows each other
without a word of its own is one `{}`. Docstrings are none.
"""

import ast
import re
from pathlib import Path

SOURCE = Path(__file__).parent.parent / "src" / "crena"

NOT_ON_THE_PAGE = (
    "__main__.py",
    "app/cli.py",
    "app/demonstration.py",
    "app/demonstration_operation.py",
    "app/department.py",
    "app/keeping.py",
    "app/reports.py",
    "app/sweep_files.py",
    "app/server/serve.py",
    "draw/",
    "exchange/",
    "imaging/_disease.py",
    "imaging/_render.py",
    "imaging/phantom.py",
    "imaging/write.py",
    "mechanics/_factor.py",
    "mechanics/refinement.py",
    "mechanics/sweeps.py",
    "store/audit.py",
    "store/backup.py",
    "store/database.py",
    "store/migrate.py",
    "store/migrations/",
    "store/tables.py",
    "store/verify.py",
)
"""Spoken at the command line, on paper or to programmers; what is typed in a demonstration."""

_NEIGHBOURS = re.compile(r"(?:\{\} ?)+(?=\{\})")
_BREAK = re.compile(r"(?<=[.?:]) (?=[^a-z])")


def forms():
    """Yield file, line and form of everything with a blank in it that the source may say."""
    for file in sorted(SOURCE.rglob("*.py")):
        place = file.relative_to(SOURCE).as_posix()
        if not place.startswith(NOT_ON_THE_PAGE):
            tree = ast.parse(file.read_text(encoding="utf-8"))
            yield from ((place, node.lineno, form_of(node)) for node in _texts(tree))


SAYS_SINGLE_WORDS = ("app/jobs/", "planning/")
"""Where a word by itself, with a capital, is said and names nothing."""


def is_prose(place, form):
    """Whether a form has words and blanks, so that it is no key, path or unit."""
    if place.startswith(SAYS_SINGLE_WORDS) and re.fullmatch(r"[A-Z][a-z]+\.?", form):
        return True
    return " " in form.strip() and re.search(r"[a-z]{2}", form) is not None


def form_of(node):
    if isinstance(node, ast.Constant):
        return node.value
    parts = (v.value if isinstance(v, ast.Constant) else "{}" for v in node.values)
    return joined("".join(parts))


def joined(form):
    """Return a form in which neighbours are one."""
    return _NEIGHBOURS.sub("", form)


def ways(form):
    """Yield each way in which the catalogue may hold a form, as the translator would find it."""
    form = form.strip("\n")
    for shorter in {form, form.removeprefix("{} "), form.removesuffix(" {}")}:
        for stopped in {shorter, shorter.removesuffix(".")}:
            yield stopped
            yield stopped[:1].lower() + stopped[1:]


def sentences(form):
    """Return the sentences of which a form is put together."""
    return _BREAK.split(form)


def _texts(tree):
    skipped = set(_not_said(tree))
    for node in ast.walk(tree):
        is_text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if (is_text or isinstance(node, ast.JoinedStr)) and id(node) not in skipped:
            yield node


def _not_said(tree):
    """Yield docstrings, and what stands inside of f-strings: it is part of those."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield id(node.value)
        if isinstance(node, ast.JoinedStr):
            for part in node.values:
                yield from _within(part)


def _within(part):
    if isinstance(part, ast.Constant):
        yield id(part)
    elif part.format_spec is not None:
        yield from (id(each) for each in ast.walk(part.format_spec))
