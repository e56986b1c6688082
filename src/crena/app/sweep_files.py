"""A sweep on file: one line of JSON for each row, written as soon as the row is there."""

import json
import math
import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

import crena
from crena.mechanics.pulls import Pulls
from crena.mechanics.sweeps import Row, Task, Workers, key_of, sweep
from crena.records import InputError


def swept(tasks: Iterable[Task], workers: Workers, file: Path) -> tuple[Row, ...]:
    """Return one row for every task; those that the file holds already are not computed again.

    Parameters
    ----------
    tasks : iterable of Task
        Closures on skins.
    workers : Workers
        Processes or a cluster.
    file : Path
        Made if there is none; grows by a line for each row, so that a sweep that was stopped
        goes on where it was. A task whose worker died is tried again; its later line counts.

    Raises
    ------
    InputError
        If a line of the file, other than a last one cut short, is not a row.
    """
    keyed = {key_of(task, crena.__version__): task for task in tasks}
    _end_last_line(file)
    known = {key: row for key, row in _held(file).items() if row.pulls is not None}
    with file.open("a", encoding="utf-8") as lines:

        def keep(row: Row) -> None:
            lines.write(_line(row))
            lines.flush()
            os.fsync(lines.fileno())

        return sweep(keyed, workers, known=known, keep=keep)


def _held(file: Path) -> dict[str, Row]:
    return rows_in(file) if file.exists() else {}


def rows_in(file: Path) -> dict[str, Row]:
    """Return the rows of a file by key; a last line that was cut short is left out."""
    return {row.key: row for row in _rows(file.read_text(encoding="utf-8").splitlines(), file)}


def _rows(lines: list[str], file: Path) -> Iterator[Row]:
    for number, line in enumerate(lines, start=1):
        try:
            yield _row(json.loads(line))
        except (ValueError, KeyError, TypeError):
            if number == len(lines):
                return
            raise InputError(
                f"Line {number} of {file.name} is not a row of a sweep. Remove it or the file."
            ) from None


def _end_last_line(file: Path) -> None:
    """Cut off what a stop in the midst of writing left behind the last whole line."""
    if not file.exists():
        return
    content = file.read_bytes()
    whole = content[: content.rfind(b"\n") + 1]
    if whole != content:
        file.write_bytes(whole)


def _line(row: Row) -> str:
    pulls = row.pulls and {
        "seams": row.pulls.seams,
        "donor": row.pulls.donor,
        "seam_forces_n": _listed(row.pulls.seam_forces_n),
        "totals_n": _listed(row.pulls.totals_n),
        "donor_shares_ratio": _listed(row.pulls.donor_shares_ratio),
        "reasons": row.pulls.reasons,
    }
    return json.dumps({"key": row.key, "failure": row.failure, "pulls": pulls}) + "\n"


def _row(found: dict[str, Any]) -> Row:
    held = found["pulls"]
    pulls = held and Pulls(
        seams=tuple(held["seams"]),
        donor=tuple(held["donor"]),
        seam_forces_n=_array(held["seam_forces_n"]).reshape(
            len(held["totals_n"]), len(held["seams"])
        ),
        totals_n=_array(held["totals_n"]),
        donor_shares_ratio=_array(held["donor_shares_ratio"]),
        reasons=tuple(held["reasons"]),
    )
    return Row(key=found["key"], pulls=pulls, failure=found["failure"])


def _listed(values: ArrayLike) -> list[Any]:
    """Return numbers as JSON has them; what is not a number becomes null."""
    array = np.asarray(values, dtype=np.float64)
    if array.ndim > 1:
        return [_listed(row) for row in array]
    return [None if math.isnan(value) else value for value in array.tolist()]


def _array(values: list[Any]) -> NDArray[np.float64]:
    return np.array(values, dtype=np.float64)
