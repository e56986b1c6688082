"""Marks written as SVG, in millimetres."""

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

from crena.draw.inks import Ink
from crena.draw.marks import FONT_FAMILY, Dots, Line, Mark, Strokes, Words, letters_height_mm
from crena.draw.tongues import said
from crena.records import Point2
from crena.records.units import POINTS_PER_MM

Box = tuple[float, float, float, float]
"""(left, bottom, right, top) in mm, y upwards."""


def svg_of(marks: Iterable[Mark], box: Box, title: str, *, scale_ratio: float = 1.0) -> bytes:
    """Write a drawing as one SVG file.

    Parameters
    ----------
    marks : iterable of Mark
        What is drawn, first lowest.
    box : Box
        The part that is shown.
    title : str
        What the drawing shows, for people who cannot see it.
    scale_ratio : float
        Millimetres on paper for one millimetre in the drawing.

    Returns
    -------
    bytes
        UTF-8; width and height in mm and an equal viewBox.

    Examples
    --------
    >>> b'width="20mm" height="10mm" viewBox="0 0 20 10"' in svg_of([], (0, 0, 20, 10), "empty")
    True
    """
    title = said(title)
    width = number((box[2] - box[0]) * scale_ratio)
    height = number((box[3] - box[1]) * scale_ratio)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" aria-label={quoteattr(title)}>'
        f"<title>{escape(title)}</title>{group_of(marks, (box[0], box[3]), scale_ratio)}</svg>\n"
    ).encode()


def group_of(marks: Iterable[Mark], top_left: Point2, scale_ratio: float = 1.0) -> str:
    """Return marks as SVG elements, with the given point at the upper left.

    >>> group_of([Line(points=((0, 0), (5, 0)), ink=Ink(layer="CUT", stroke="#000"))], (0, 9))
    '<path d="M0 9L5 9" fill="none" stroke="#000" stroke-width="0.25" stroke-linejoin="round"/>'
    """
    return "".join(_element(mark, _Frame(top_left, scale_ratio)) for mark in marks)


def clipped(elements: str, box: Box, name: str) -> str:
    """Return elements of which only those parts show that lie in a box (y downwards).

    >>> clipped("<path/>", (0, 0, 2, 3), "t").count("clip")
    3
    """
    left, top, right, bottom = (number(v) for v in box)
    shape = f"M{left} {top}H{right}V{bottom}H{left}Z"
    return (
        f'<defs><clipPath id="{name}"><path d="{shape}"/></clipPath></defs>'
        f'<g clip-path="url(#{name})">{elements}</g>'
    )


def number(value: float) -> str:
    """Return a number as SVG wants it: a tenth of a micrometre, no trailing zeros.

    >>> number(2.50001), number(-0.00001), number(10.0)
    ('2.5', '0', '10')
    """
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Frame:
    """Where marks come to lie on the paper: y turned downwards, scaled."""

    __slots__ = ("_ratio", "_x", "_y")

    def __init__(self, top_left: Point2, scale_ratio: float) -> None:
        self._x, self._y = top_left
        self._ratio = scale_ratio

    def at(self, point: Point2) -> Point2:
        return (point[0] - self._x) * self._ratio, (self._y - point[1]) * self._ratio

    def path(self, points: Sequence[Point2]) -> str:
        placed = (self.at(p) for p in points)
        return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in placed)


def _element(mark: Mark, frame: _Frame) -> str:
    if isinstance(mark, Words):
        return _words(mark, frame)
    if isinstance(mark, Line):
        data = frame.path(mark.points) + ("Z" if mark.closed else "")
    elif isinstance(mark, Strokes):
        data = "".join(frame.path(line) for line in mark.lines)
    else:
        data = _dots(mark, frame)
    return f'<path d="{data}" {_look(mark.ink)}/>' if data else ""


def _dots(mark: Dots, frame: _Frame) -> str:
    placed = (frame.at(p) for p in mark.points)
    return "".join(f"M{number(x)} {number(y)}h0.01" for x, y in placed)


def _look(ink: Ink) -> str:
    parts = [f'fill="{ink.fill or "none"}"']
    if ink.stroke:
        parts.append(f'stroke="{ink.stroke}" stroke-width="{number(ink.width_mm)}"')
        parts.append('stroke-linejoin="round"')
        if ink.dash_mm:
            parts.append(f'stroke-dasharray="{" ".join(number(d) for d in ink.dash_mm)}"')
        if ink.round_caps:
            parts.append('stroke-linecap="round"')
    return " ".join(parts)


def _words(mark: Words, frame: _Frame) -> str:
    x, y = frame.at(mark.at)
    drop_mm = letters_height_mm(mark.size_pt) / 2
    turn = f' transform="rotate({number(-mark.turn_deg)} {number(x)} {number(y)})"'
    return (
        f'<text x="{number(x)}" y="{number(y + drop_mm)}" font-family="{FONT_FAMILY}, sans-serif" '
        f'font-size="{number(mark.size_pt / POINTS_PER_MM)}" text-anchor="{mark.anchor}" '
        f'fill="{mark.ink.fill}"{" font-weight=" + chr(34) + "bold" + chr(34) if mark.bold else ""}'
        f"{turn if mark.turn_deg else ''}>{escape(said(mark.text))}</text>"
    )
