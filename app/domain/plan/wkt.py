"""Outlines as OGC curve WKT: `POLYGON`, or `CURVEPOLYGON` of rings that are lines, circular strings or compounds.

Source: OGC 06-103r4 (Simple feature access) for the text form, ISO/IEC 13249-3 for circular strings: start, a point
on the arc, end, and so on; one whose start is its end has its point on the arc opposite (a whole circle).
"""

import re
from collections.abc import Callable, Sequence
from decimal import Decimal
from itertools import groupby, pairwise
from math import isfinite

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, Point, Ring, Segment, arc_through

MOST_POINTS = 2000  # an arc has two
LONGEST_TEXT = MOST_POINTS * 60  # characters
_TOKEN = re.compile(r"\s*([A-Z]+|[(),]|[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?)")
_FURTHEST = 20_000.0  # ft from the datum


class UnreadableOutline(BadValue):
    """The text of an outline is not the curve WKT that is kept, or not closed."""


class NotAnArc(BadValue):
    """The three points of an arc lie on a line."""


def read_rings(wkt: str) -> tuple[Ring, ...]:
    """The rings of an outline as they were typed, the outer one first.

    Raises: UnreadableOutline, NotAnArc.

    >>> read_rings("POLYGON ((0 0, 1 0, 0 1, 0 0))")[0][0]
    Line(start=(0.0, 0.0), end=(1.0, 0.0))
    """
    reader = _Reader(wkt)
    kind = reader.word()
    if kind not in {"POLYGON", "CURVEPOLYGON"}:
        raise UnreadableOutline(f"An outline is a POLYGON or a CURVEPOLYGON, not “{kind[:20]}”.")
    rings = reader.listed(reader.line if kind == "POLYGON" else reader.curve)
    reader.finish()
    for ring in rings:
        if ring[0].start != ring[-1].end:
            raise UnreadableOutline("The outline is not closed: its last point is not its first.")
    return tuple(tuple(ring) for ring in rings)


def write_rings(rings: Sequence[Ring]) -> str:
    """Rings as WKT, every point as exactly as it is known.

    >>> write_rings([(Line((0, 0), (1, 0)), Line((1, 0), (0, 1.5)), Line((0, 1.5), (0, 0)))])
    'POLYGON ((0 0, 1 0, 0 1.5, 0 0))'
    """
    curved = any(isinstance(piece, Arc) for ring in rings for piece in ring)
    return f"{'CURVEPOLYGON' if curved else 'POLYGON'} ({', '.join(_ring_text(ring) for ring in rings)})"


def read_line(wkt: str) -> tuple[Segment, ...]:
    """The pieces of an open line: `LINESTRING`, `CIRCULARSTRING` or `COMPOUNDCURVE`.

    Raises: UnreadableOutline, NotAnArc.

    >>> read_line("LINESTRING (0 0, 1 0)")
    (Line(start=(0.0, 0.0), end=(1.0, 0.0)),)
    """
    text = wkt.strip()
    straight = text.startswith("LINESTRING")
    reader = _Reader(text.removeprefix("LINESTRING"))
    pieces = reader.line() if straight else reader.curve()
    reader.finish()
    return tuple(pieces)


def write_line(pieces: Sequence[Segment]) -> str:
    """An open line as WKT.

    >>> write_line([Line((0, 0), (1, 0)), Line((1, 0), (0, 1.5))])
    'LINESTRING (0 0, 1 0, 0 1.5)'
    """
    text = _ring_text(tuple(pieces))
    return f"LINESTRING {text}" if text.startswith("(") else text


def _ring_text(ring: Ring) -> str:
    members = [(curved, list(pieces)) for curved, pieces in groupby(ring, lambda piece: isinstance(piece, Arc))]
    texts = [("CIRCULARSTRING " if curved else "") + _points_text(pieces) for curved, pieces in members]
    return texts[0] if len(texts) == 1 else f"COMPOUNDCURVE ({', '.join(texts)})"


def _points_text(pieces: Sequence[Segment]) -> str:
    points = [pieces[0].start]
    for piece in pieces:
        points += [piece.through, piece.end] if isinstance(piece, Arc) else [piece.end]
    return "(" + ", ".join(f"{_number(x)} {_number(y)}" for x, y in points) + ")"


def _number(value: float) -> str:
    if value == int(value):
        return str(int(value))
    return format(Decimal(repr(float(value))), "f")


class _Reader:
    """Reads one text from left to right; every refusal says where."""

    def __init__(self, wkt: str) -> None:
        if len(wkt) > LONGEST_TEXT or wkt.count(",") > MOST_POINTS:
            raise UnreadableOutline("The outline has too many points to be kept. Draw it with fewer.")
        self._text = wkt
        self._at = 0

    def word(self) -> str:
        """The next word, sign or number."""
        found = _TOKEN.match(self._text, self._at)
        if found is None:
            raise self._refused()
        self._at = found.end()
        return found[1]

    def expect(self, sign: str) -> None:
        """The next sign, which must be this one."""
        if self.word() != sign:
            raise self._refused()

    def finish(self) -> None:
        """Nothing may follow."""
        if self._text[self._at :].strip():
            raise self._refused()

    def listed(self, read: Callable[[], list[Segment]]) -> list[list[Segment]]:
        """What stands between parentheses, commas between."""
        self.expect("(")
        items = [read()]
        while (sign := self.word()) == ",":
            items.append(read())
        if sign != ")":
            raise self._refused()
        return items

    def curve(self) -> list[Segment]:
        """A ring: bare points, a circular string, or a compound of both."""
        if not self._ahead("COMPOUNDCURVE"):
            return self._member()
        self.word()
        pieces: list[Segment] = []
        for member in self.listed(self._member):
            if pieces and pieces[-1].end != member[0].start:
                raise UnreadableOutline("The pieces of the outline do not meet: one must start where the last ended.")
            pieces += member
        return pieces

    def line(self) -> list[Segment]:
        """Points joined by straight edges."""
        return [Line(*pair) for pair in pairwise(self._points())]

    def _member(self) -> list[Segment]:
        if not self._ahead("CIRCULARSTRING"):
            return self.line()
        self.word()
        points = self._points()
        if len(points) % 2 == 0:
            raise UnreadableOutline("A circular string has a start, then two points for each arc.")
        pieces: list[Segment] = []
        for place in range(0, len(points) - 1, 2):
            pieces += _arcs(points[place], points[place + 1], points[place + 2])
        return pieces

    def _points(self) -> list[Point]:
        self.expect("(")
        points = [self._point()]
        while (sign := self.word()) == ",":
            points.append(self._point())
        if sign != ")" or len(points) < 2:
            raise self._refused()
        return points

    def _point(self) -> Point:
        return self._coordinate(), self._coordinate()

    def _coordinate(self) -> float:
        word = self.word()
        if not (word[0] in "+-." or word[0].isdigit()):
            raise self._refused()
        value = float(word)
        if not isfinite(value) or abs(value) > _FURTHEST:
            raise UnreadableOutline(f"A point lies {word} ft from the datum, further than any yard reaches.")
        return value + 0.0

    def _ahead(self, word: str) -> bool:
        found = _TOKEN.match(self._text, self._at)
        return found is not None and found[1] == word

    def _refused(self) -> UnreadableOutline:
        near = self._text[self._at : self._at + 20]
        return UnreadableOutline(f"The outline cannot be read at “{near}” (character {self._at + 1}).")


def _arcs(start: Point, through: Point, end: Point) -> list[Segment]:
    if start == end:
        middle = (start[0] + through[0]) / 2, (start[1] + through[1]) / 2
        x, y = start[0] - middle[0], start[1] - middle[1]
        halves = (start, (middle[0] - y, middle[1] + x), through), (through, (middle[0] + y, middle[1] - x), end)
        return [_arc(*half) for half in halves]
    return [_arc(start, through, end)]


def _arc(start: Point, through: Point, end: Point) -> Arc:
    arc = arc_through(start, through, end)
    if arc is None:
        raise NotAnArc(
            f"The arc through {through[0]:g}, {through[1]:g} is a straight line or has no length. "
            "Give a point that lies off the line between its ends."
        )
    return arc
