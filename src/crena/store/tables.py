"""Tables of threads and wounds, read once; a figure without source and mark is refused."""

import csv
import io
from collections.abc import Callable
from enum import StrEnum
from importlib.resources import files
from typing import TypeVar

from crena.records import (
    Answer,
    Basis,
    ClosureKind,
    CustomaryRemoval,
    InputError,
    KnotPull,
    LayerTemplate,
    Mark,
    Material,
    OutcomeRate,
    RetentionPoint,
    Stitch,
    StrengthClass,
    SutureSize,
    SutureTables,
    WoundPoint,
    number_from,
)
from crena.records.complications import Grade, GradeRule

Made = TypeVar("Made")
Word = TypeVar("Word", bound=StrEnum)


class Row:
    """One line of a table, with its place for the sentence of a refusal."""

    def __init__(self, place: str, cells: dict[str, str]) -> None:
        """Keep the cells by the names of their columns."""
        self.place = place
        self.cells = cells

    def text(self, column: str) -> str:
        """Return what stands in a column, which may not be empty."""
        written = (self.cells.get(column) or "").strip()
        if not written:
            raise InputError(f"{self.place} has no {column}. Fill it in before it is used.")
        return written

    def number(self, column: str) -> float:
        """Return the number in a column."""
        return number_from(self.text(column), what=f"{self.place}, {column}:")

    def number_or_none(self, column: str) -> float | None:
        """Return the number in a column, or none where it is empty."""
        return self.number(column) if (self.cells.get(column) or "").strip() else None

    def word(self, column: str, words: type[Word]) -> Word:
        """Return one of the words that the column may hold."""
        written = self.text(column)
        if written not in [word.value for word in words]:
            known = ", ".join(word.value for word in words)
            raise InputError(f"{self.place}: {column} “{written}” is not one of: {known}.")
        return words(written)

    def note(self, column: str) -> str:
        """Return what stands in a column that may be empty."""
        return (self.cells.get(column) or "").strip()

    def band(self, low: str, high: str) -> tuple[float, float]:
        """Return two numbers, the smaller first."""
        least, most = self.number(low), self.number(high)
        if least > most:
            raise InputError(f"{self.place}: {low} {least} is above {high} {most}. Swap them.")
        return least, most

    def words(self, column: str, words: type[Word]) -> tuple[Word, ...]:
        """Return words set apart by semicolons; none where the column is empty."""
        written = [one.strip() for one in self.note(column).split(";") if one.strip()]
        return tuple(Row(self.place, {column: one}).word(column, words) for one in written)

    def count_or_none(self, column: str) -> int | None:
        """Return the whole number in a column, or none where it is empty."""
        number = self.number_or_none(column)
        if number is not None and not number.is_integer():
            raise InputError(
                f"{self.place}: {column} {number:g} is not a whole number. Correct it."
            )
        return None if number is None else int(number)

    def fractions(self) -> tuple[float, float]:
        """Return a band of fractions."""
        low, high = self.band("low_fraction", "high_fraction")
        if low < 0 or high > 1:
            raise InputError(f"{self.place}: {low} to {high} is not a fraction from 0 to 1.")
        return low, high

    def basis(self) -> Basis:
        """Return where the figures of this line come from."""
        return Basis(source=self.text("source"), mark=self.word("mark", Mark))


def suture_tables() -> SutureTables:
    """Read the tables that come with Crena.

    Returns
    -------
    SutureTables
        Every figure with its source and mark.

    Raises
    ------
    InputError
        If a line of a table cannot be relied on.
    """
    return SutureTables(
        sizes=_packed("suture_sizes.csv", _size),
        knot_pulls=_packed("knot_pull.csv", _knot_pull),
        retention=_packed("retention.csv", _retention),
        wound=_packed("wound_strength.csv", _wound),
        removals=_packed("removal_days.csv", _removal),
        layers=_packed("layers.csv", _layer),
    )


def recurrence_rates() -> tuple[OutcomeRate, ...]:
    """Read how often the disease came back, and what else went wrong, after operations.

    Returns
    -------
    tuple of OutcomeRate
        Every rate with its source and mark, the published among others.

    Raises
    ------
    InputError
        If a line of the table cannot be relied on.

    Examples
    --------
    >>> first = recurrence_rates()[0]
    >>> first.operation, first.months, first.rate_fraction
    ('Limberg or Dufourmentel flap', 12, 0.006)
    """
    return _packed("recurrence_rates.csv", outcome_rate)


def grade_rules() -> tuple[GradeRule, ...]:
    """Read what counts as which grade of a complication, the mildest first.

    Returns
    -------
    tuple of GradeRule
        One for each grade: its meaning with its source, and the unit's own rule.

    Raises
    ------
    InputError
        If a line of the table cannot be relied on.

    Examples
    --------
    >>> [rule.grade.value for rule in grade_rules()]
    ['I', 'II', 'IIIa', 'IIIb', 'IVa', 'IVb', 'V']
    """
    return _packed("complication_grades.csv", _grade_rule)


def outcome_rate(row: Row) -> OutcomeRate:
    """Make one rate of one line.

    Parameters
    ----------
    row : Row
        Of the table of rates.

    Raises
    ------
    InputError
        If the rate lies outside its own interval, or the line cannot be read.
    """
    rate = OutcomeRate(
        outcome=row.text("outcome"),
        operation=row.text("operation"),
        kinds=row.words("kinds", ClosureKind),
        months=row.count_or_none("months"),
        rate_fraction=row.number("rate_fraction"),
        low_fraction=row.number_or_none("low_fraction"),
        high_fraction=row.number_or_none("high_fraction"),
        people=row.count_or_none("people"),
        note=row.note("note"),
        basis=row.basis(),
    )
    _refuse_odd_interval(rate, row.place)
    return rate


def _refuse_odd_interval(rate: OutcomeRate, place: str) -> None:
    if (rate.low_fraction is None) is not (rate.high_fraction is None):
        raise InputError(f"{place}: the interval has only one end. Give both or none.")
    low = 0.0 if rate.low_fraction is None else rate.low_fraction
    high = 1.0 if rate.high_fraction is None else rate.high_fraction
    if not 0 <= low <= rate.rate_fraction <= high <= 1:
        raise InputError(
            f"{place}: the rate {rate.rate_fraction:g} does not lie from {low:g} to {high:g}. "
            "Correct it."
        )


def table_from(text: str, name: str, made: Callable[[Row], Made]) -> tuple[Made, ...]:
    """Read one table.

    Parameters
    ----------
    text : str
        Comma-separated, with a first line of column names.
    name : str
        Of the table, for the sentence of a refusal.
    made : callable
        Makes a record of one line.

    Raises
    ------
    InputError
        If a line has no source or no mark, or cannot be read.
    """
    lines = csv.DictReader(io.StringIO(text))
    rows = [Row(f"Line {n} of {name}", cells) for n, cells in enumerate(lines, start=2)]
    return tuple(made(row) for row in rows)


def _packed(name: str, made: Callable[[Row], Made]) -> tuple[Made, ...]:
    text = (files("crena.store") / "tables" / name).read_text(encoding="utf-8")
    return table_from(text, name, made)


def _size(row: Row) -> SutureSize:
    low, high = row.band("diameter_low_mm", "diameter_high_mm")
    return SutureSize(
        size=row.text("size"),
        metric=row.text("metric"),
        diameter_low_mm=low,
        diameter_high_mm=high,
        basis=row.basis(),
    )


def _knot_pull(row: Row) -> KnotPull:
    return KnotPull(
        size=row.text("size"),
        strength_class=row.word("strength_class", StrengthClass),
        least_n=row.number("least_n"),
        basis=row.basis(),
    )


def _retention(row: Row) -> RetentionPoint:
    low, high = row.fractions()
    return RetentionPoint(
        material=row.word("material", Material),
        day=row.number("day"),
        low_fraction=low,
        high_fraction=high,
        basis=row.basis(),
    )


def _wound(row: Row) -> WoundPoint:
    low, high = row.fractions()
    return WoundPoint(
        day=row.number("day"), low_fraction=low, high_fraction=high, basis=row.basis()
    )


def _removal(row: Row) -> CustomaryRemoval:
    low, high = row.band("low_day", "high_day")
    return CustomaryRemoval(
        site=row.text("site"),
        risks_least=int(row.number("risks_least")),
        low_day=low,
        high_day=high,
        basis=row.basis(),
    )


def _grade_rule(row: Row) -> GradeRule:
    return GradeRule(
        grade=row.word("grade", Grade),
        means_english=row.text("means_english"),
        means_german=row.text("means_german"),
        basis=row.basis(),
        here_english=row.text("here_english"),
        here_german=row.text("here_german"),
        here_source=row.text("here_source"),
    )


def _layer(row: Row) -> LayerTemplate:
    return LayerTemplate(
        name=row.text("name"),
        material=row.word("material", Material),
        size=row.text("size"),
        stitch=row.word("stitch", Stitch),
        through_skin=row.word("through_skin", Answer) is Answer.YES,
        spacing_mm=row.number("spacing_mm"),
        bite_mm=row.number("bite_mm"),
        depth_mm=row.number("depth_mm"),
        row_pitch_mm=row.number_or_none("row_pitch_mm"),
        removal_day=row.number_or_none("removal_day"),
        basis=row.basis(),
    )
