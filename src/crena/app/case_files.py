"""Case files: read with one clear sentence for every fault, written whole or not at all."""

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from crena.records import (
    CASE_SCHEMA,
    PLAN_SCHEMA,
    Case,
    HealingPlan,
    InputError,
    Moved,
    PlanSet,
)

CASES = TypeAdapter(Case)
PLAN_SETS = TypeAdapter(PlanSet)
HEALING_PLANS = TypeAdapter(HealingPlan)
MOVES = TypeAdapter(Moved)

LARGEST_CASE_BYTES = 5_000_000
MOST_FAULTS = 5

LONGEST_TEXT = 80
"""Signs in any text of a case file; more would not stand on the sheets."""

DASHES = "–—‘’“”…"
"""Signs of print beyond the letters that may stand in a text."""

LAST_PRINTED = 0x58F
"""The last code point that the sheets' letters are checked for."""

SCHEMAS: dict[str, TypeAdapter[Any]] = {
    "case": CASES,
    "plan": PLAN_SETS,
    "healing": HEALING_PLANS,
}
"""Published schemas by the name that `crena schema` takes."""


def read_case(path: Path) -> Case:
    """Read a case file.

    Parameters
    ----------
    path : Path
        A JSON file of the schema `crena.case/1`.

    Returns
    -------
    Case
        Checked in every field.

    Raises
    ------
    InputError
        If the file is missing, too large, not JSON, of another version, or has a wrong
        field; one sentence each, with path, value and what is allowed.
    """
    return case_from_text(_text_of(path), path.name)


def case_from_text(text: str, name: str) -> Case:
    """Return the case that a JSON text describes; `name` begins the sentences."""
    raw = _parsed(text, name)
    refuse_odd_words(raw, name)
    found: Case = _checked(raw, name, CASES, CASE_SCHEMA)
    return found


def read_plans(path: Path) -> PlanSet:
    """Read a plan file, as `crena plan` writes it.

    Parameters
    ----------
    path : Path
        A JSON file of the schema `crena.plan/1`.

    Raises
    ------
    InputError
        As for a case file.
    """
    return plans_from_text(_text_of(path), path.name)


def plans_from_text(text: str, name: str) -> PlanSet:
    """Return the plan set that a JSON text describes; `name` begins the sentences."""
    found: PlanSet = _checked(_parsed(text, name), name, PLAN_SETS, PLAN_SCHEMA)
    return found


def _checked(raw: object, name: str, kind: TypeAdapter[Any], schema: str) -> Any:
    if not isinstance(raw, dict):
        raise InputError(f"{name} must be one JSON object of the schema {schema}.")
    if raw.get("schema") != schema:
        raise InputError(f"{name}: schema is {_shown(raw.get('schema'))}; {schema!r} is read here.")
    try:
        return kind.validate_python(raw)
    except ValidationError as error:
        faults = [fault_sentence(e) for e in error.errors(include_url=False)[:MOST_FAULTS]]
        raise InputError(f"{name}: {' '.join(dict.fromkeys(faults))}") from None


def case_text(case: Case) -> str:
    """Return a case as JSON text."""
    return CASES.dump_json(case, indent=2).decode() + "\n"


def plan_text(plan_set: PlanSet) -> str:
    """Return a plan set as JSON text."""
    return PLAN_SETS.dump_json(plan_set, indent=1).decode() + "\n"


def moved_text(moved: Moved) -> str:
    """Return how a plan was moved as JSON text."""
    return MOVES.dump_json(moved).decode()


def moved_from_text(text: str) -> Moved:
    """Return how a plan was moved from the text of `moved_text`."""
    return MOVES.validate_json(text)


def healing_text(healing: HealingPlan) -> str:
    """Return a healing plan as JSON text."""
    return HEALING_PLANS.dump_json(healing, indent=1).decode() + "\n"


def schema_text(name: str) -> str:
    """Return a published JSON schema as text."""
    return json.dumps(SCHEMAS[name].json_schema(), indent=2, sort_keys=True) + "\n"


def write_whole(path: Path, content: bytes) -> None:
    """Write a file under a temporary name, flush it to the disk, then give it its name."""
    unfinished = _unfinished(path)
    _flushed(unfinished, content)
    unfinished.replace(path)


def write_all(folder: Path, contents: dict[str, bytes]) -> None:
    """Write several files: all of them in full under temporary names, then all renamed.

    Raises
    ------
    InputError
        If a folder stands where a file is to be written; nothing is changed then.
    """
    for name in contents:
        if (folder / name).is_dir():
            raise InputError(f"{folder / name} is a folder; a file of that name is to be written.")
    folder.mkdir(parents=True, exist_ok=True)
    try:
        for name, content in contents.items():
            _flushed(_unfinished(folder / name), content)
        for name in contents:
            _unfinished(folder / name).replace(folder / name)
    finally:
        for name in contents:
            _unfinished(folder / name).unlink(missing_ok=True)


def _flushed(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _unfinished(path: Path) -> Path:
    return path.with_name(f".{path.name}.unfinished")


def _text_of(path: Path) -> str:
    if not path.is_file():
        raise InputError(f"There is no file {path}. Check the name.")
    if path.stat().st_size > LARGEST_CASE_BYTES:
        raise InputError(f"{path.name} is larger than 5 MB and cannot be one of Crena's.")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{path.name} is not a text file in UTF-8.") from None


def refuse_odd_words(raw: object, name: str) -> None:
    """Refuse texts that cannot be printed as they are: too long, hidden or foreign signs."""
    if isinstance(raw, dict):
        raw = list(raw.values())
    if isinstance(raw, list):
        for part in raw:
            refuse_odd_words(part, name)
    if isinstance(raw, str):
        odd = [c for c in raw if not c.isprintable() or c not in DASHES and ord(c) > LAST_PRINTED]
        if len(raw) > LONGEST_TEXT or odd:
            raise InputError(
                f"{name}: the text {_shown(raw)} cannot be printed. Use at most {LONGEST_TEXT} "
                "Latin, Greek or Cyrillic letters on one line."
            )


def _parsed(text: str, name: str) -> object:
    def no_constant(word: str) -> float:
        raise InputError(f"{name}: {word} is not a number. Leave the field out if it is unknown.")

    try:
        return json.loads(text, parse_constant=no_constant, object_pairs_hook=_single_keys(name))
    except json.JSONDecodeError as error:
        raise InputError(
            f"{name} is not valid JSON at line {error.lineno}, column {error.colno}. A number "
            "needs a decimal point, or quotes round it: 12.5 or “12,5”."
        ) from None
    except ValueError:
        raise InputError(f"{name} holds a number with too many digits.") from None
    except RecursionError:
        raise InputError(f"{name} is nested too deeply to be a case file.") from None


def _single_keys(name: str) -> Callable[[list[tuple[str, object]]], dict[str, object]]:
    def collect(pairs: list[tuple[str, object]]) -> dict[str, object]:
        found = dict(pairs)
        if len(found) != len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in keys if keys.count(key) > 1)
            raise InputError(f"{name}: the field “{twice}” stands twice. Keep one.")
        return found

    return collect


def fault_sentence(error: Any) -> str:
    """Return one sentence: where, what was given, what is allowed."""
    where, given, context = _path(error["loc"]), _shown(error["input"]), error.get("ctx", {})
    field = str(error["loc"][-1]) if error["loc"] else ""
    sentences = {
        "unexpected_keyword_argument": f"There is no field {where}. Remove it or correct its name.",
        "missing": f"{where} is missing.",
        "missing_argument": f"{where} is missing.",
        "missing_keyword_only_argument": f"{where} is missing.",
        "greater_than_equal": f"{where} is {given}; at least {_limit(context, 'ge', field)}.",
        "less_than_equal": f"{where} is {given}; at most {_limit(context, 'le', field)}.",
        "finite_number": f"{where} is {given}, not a number.",
        "enum": f"{where} is {given}; allowed: {context.get('expected', '')}.",
    }
    if error["type"] == "value_error":
        return f"{where}: {context['error']}"
    other = f"{where} is {given}, which does not fit there; `crena schema case` shows what does."
    return sentences.get(error["type"], other)


def field_sentence(error: Any) -> str:
    """Return the same without the name of the field, to stand beside it."""
    given, context = error["input"], error.get("ctx", {})
    given = f"{given:g}" if isinstance(given, float) else _shown(given)
    field = str(error["loc"][-1]) if error["loc"] else ""
    sentences = {
        "greater_than_equal": f"{given} is too little; at least {_limit(context, 'ge', field)}.",
        "less_than_equal": f"{given} is too much; at most {_limit(context, 'le', field)}.",
        "value_error": str(context.get("error", "")),
    }
    return sentences.get(error["type"], fault_sentence(error))


def _limit(context: dict[str, Any], key: str, field: str) -> str:
    units = {"mm": " mm", "deg": " degrees", "kg": " kg", "day": " days"}
    return f"{context.get(key, 0):g}{units.get(field.rsplit('_', 1)[-1], '')} is allowed"


def _path(loc: tuple[int | str, ...]) -> str:
    path = ""
    for step in loc:
        path += f"[{step}]" if isinstance(step, int) else f".{step}"
    return path.removeprefix(".") or "the file"


def _shown(value: object) -> str:
    if value is None:
        return "empty"
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 40 else f"{text[:37]}…"
