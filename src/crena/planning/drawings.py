"""One candidate drawn in full: its outline, its closure, its shape."""

from dataclasses import dataclass

from crena.records import Closure, Outline, Record, Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing(Record):
    """A closure with the outline it closes."""

    outline: Outline
    closure: Closure
    shape: Shape
