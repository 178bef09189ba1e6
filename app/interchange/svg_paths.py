"""Path data of SVG as edges and arcs in feet. Source: W3C, Scalable Vector Graphics (SVG) 1.1, chapter 8 and F.6.

Circular arcs stay arcs where the drawing is not stretched. Other curves become arcs within 1/4 in; how many is counted.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import atan2, cos, hypot, isfinite, radians, sin, sqrt, tau

from app.domain.errors import BadValue
from app.domain.plan.arcs import Line, Point, Segment, arc_through
from app.domain.plan.curving import Curve, arcs_along
from app.domain.plan.outline import LEAST_EDGE
from app.domain.plan.pieces import distance

MOST_STEPS = 20_000  # commands of all paths of a file
_TOKEN = re.compile(r"[MmLlHhVvCcSsQqTtAaZz]|[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?|[^\s,]")
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}


@dataclass(frozen=True, slots=True)
class Matrix:
    """A transform of the drawing: x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def point(self, x: float, y: float) -> Point:
        """Where a point goes. Raises: BadValue for one that is nowhere."""
        found = self.a * x + self.c * y + self.e + 0.0, self.b * x + self.d * y + self.f + 0.0
        if not (isfinite(found[0]) and isfinite(found[1])):
            raise BadValue("A point of the drawing lies nowhere. Save it again from the program it comes from.")
        return found

    def after(self, inner: "Matrix") -> "Matrix":
        """This transform of what the inner one gives."""
        x, y = self.point(inner.e, inner.f)
        return Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            x,
            y,
        )

    @property
    def keeps_circles(self) -> bool:
        """Whether a circle stays one: the drawing is moved, turned, mirrored or scaled alike in both directions."""
        size = self.a**2 + self.b**2 + self.c**2 + self.d**2
        skewed = abs(self.a * self.c + self.b * self.d)
        return skewed < 1e-6 * size and abs(self.a**2 + self.b**2 - self.c**2 - self.d**2) < 1e-6 * size


@dataclass(slots=True)
class Pen:
    """What draws: gathers the pieces of each stroke [ft], and counts the curves that became arcs."""

    place: Matrix
    strokes: list[list[Segment]] = field(default_factory=list)
    closed: list[bool] = field(default_factory=list)
    curves: int = 0
    x: float = 0.0
    y: float = 0.0
    _begun: tuple[float, float] = (0.0, 0.0)
    _open: bool = False

    def move(self, x: float, y: float) -> None:
        """Begin a stroke elsewhere."""
        self.x, self.y, self._begun, self._open = x, y, (x, y), False

    def line(self, x: float, y: float) -> None:
        """A straight edge."""
        self._add([Line(self.place.point(self.x, self.y), self.place.point(x, y))])
        self.x, self.y = x, y

    def close(self) -> None:
        """Back to where the stroke began."""
        if self._open:
            if (self.x, self.y) != self._begun:
                self.line(*self._begun)
            self.closed[-1] = True
        self.move(*self._begun)

    def curve(self, curve: Curve, x: float, y: float) -> None:
        """A curve of the drawing, told in its own units; it becomes arcs."""

        def placed(share: float) -> Point:
            return self.place.point(*curve(share))

        self._add(list(arcs_along(placed)))
        self.curves += 1
        self.x, self.y = x, y

    def arc(self, through: Point, x: float, y: float) -> None:
        """A circular arc over a point, exact where the drawing keeps circles."""
        ends = self.place.point(self.x, self.y), self.place.point(x, y)
        arc = arc_through(ends[0], self.place.point(*through), ends[1])
        self._add([arc or Line(*ends)])
        self.x, self.y = x, y

    def _add(self, pieces: Sequence[Segment]) -> None:
        if not self._open:
            self.strokes.append([])
            self.closed.append(False)
            self._open = True
        self.strokes[-1] += [piece for piece in pieces if distance(piece.start, piece.end) >= LEAST_EDGE]


def draw_path(data: str, pen: Pen) -> None:
    """Draw path data with a pen.

    Raises: BadValue for what is no path.
    """
    control: tuple[str, float, float] = ("", 0.0, 0.0)  # of the last curve, for one that runs on
    for command, numbers in _steps(data):
        control = _draw(pen, command, numbers, control)


def _steps(data: str) -> Iterator[tuple[str, list[float]]]:
    """The commands with their numbers, those that follow one letter each with it."""
    tokens = _TOKEN.findall(data)
    at, command, count = 0, "", 0
    while at < len(tokens):
        if tokens[at].upper() in _COUNTS and len(tokens[at]) == 1:
            command, at = tokens[at], at + 1
        elif not command or command in "Zz":
            raise _no_path(tokens[at])
        needed = _COUNTS[command.upper()]
        numbers, at = _numbers(command, tokens, at, needed)
        yield command, numbers
        command = {"M": "L", "m": "l"}.get(command, command)
        count += 1
        if count > MOST_STEPS:
            raise BadValue("A path of the drawing has too many points. Save it with fewer.")


def _numbers(command: str, tokens: list[str], at: int, needed: int) -> tuple[list[float], int]:
    found: list[float] = []
    while len(found) < needed:
        if at >= len(tokens):
            raise _no_path(command)
        flags = command in "Aa" and len(found) in {3, 4}
        if flags and tokens[at][0] in "01" and len(tokens[at]) > 1:
            found.append(float(tokens[at][0]))  # flags may stand without a space between
            tokens[at] = tokens[at][1:]
            continue
        try:
            found.append(float(tokens[at]))
        except ValueError as wrong:
            raise _no_path(tokens[at]) from wrong
        at += 1
    return found, at


def _no_path(near: str) -> BadValue:
    return BadValue(f"A path of the drawing cannot be read near “{near[:20]}”. Save it again from where it comes from.")


def _draw(pen: Pen, command: str, n: list[float], control: tuple[str, float, float]) -> tuple[str, float, float]:
    kind, x0, y0 = command.upper(), (pen.x if command.islower() else 0.0), (pen.y if command.islower() else 0.0)
    if kind == "Z":
        pen.close()
    elif kind == "M":
        pen.move(x0 + n[0], y0 + n[1])
    elif kind == "L":
        pen.line(x0 + n[0], y0 + n[1])
    elif kind == "H":
        pen.line(x0 + n[0], pen.y)
    elif kind == "V":
        pen.line(pen.x, y0 + n[0])
    elif kind == "A":
        draw_arc(pen, (n[0], n[1], n[2]), (n[3] != 0, n[4] != 0), (x0 + n[5], y0 + n[6]))
    else:
        return _bezier(pen, kind, [value + (y0 if place % 2 else x0) for place, value in enumerate(n)], control)
    return ("", 0.0, 0.0)


def _bezier(pen: Pen, kind: str, n: list[float], control: tuple[str, float, float]) -> tuple[str, float, float]:
    """Cubic and quadratic curves; S and T run on from the last one of their kind."""
    here = pen.x, pen.y
    family = "C" if kind in "CS" else "Q"
    on = (2 * here[0] - control[1], 2 * here[1] - control[2]) if control[0] == family else here
    if kind in "ST":
        n = [*on, *n]
    points = [here, *zip(n[::2], n[1::2], strict=True)]
    pen.curve(lambda t: _at(points, t), *points[-1])
    return (family, *points[-2])


def _at(points: Sequence[Point], t: float) -> Point:
    """A point of a Bézier curve, by de Casteljau's construction."""
    row = list(points)
    while len(row) > 1:
        row = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for a, b in pairwise(row)]
    return row[0]


def draw_arc(pen: Pen, size: tuple[float, float, float], flags: tuple[bool, bool], to: Point) -> None:
    """An elliptical arc by radii and turn [degrees], flags (large, sweep) and end (SVG 1.1, F.6.5 and F.6.6)."""
    rx, ry, turn = abs(size[0]), abs(size[1]), radians(size[2])
    here = pen.x, pen.y
    if rx == 0 or ry == 0 or here == to:
        pen.line(*to)
        return
    x = cos(turn) * (here[0] - to[0]) / 2 + sin(turn) * (here[1] - to[1]) / 2
    y = -sin(turn) * (here[0] - to[0]) / 2 + cos(turn) * (here[1] - to[1]) / 2
    grown = max(1.0, hypot(x / rx, y / ry))
    rx, ry = rx * grown, ry * grown
    off = max(rx**2 * ry**2 - rx**2 * y**2 - ry**2 * x**2, 0.0) / (rx**2 * y**2 + ry**2 * x**2)
    factor = (-1 if flags[0] == flags[1] else 1) * sqrt(off)
    cx, cy = factor * rx * y / ry, -factor * ry * x / rx
    first = atan2((y - cy) / ry, (x - cx) / rx)
    sweep = (atan2((-y - cy) / ry, (-x - cx) / rx) - first) % tau
    sweep = sweep if flags[1] else sweep - tau
    middle = (
        cos(turn) * cx - sin(turn) * cy + (here[0] + to[0]) / 2,
        sin(turn) * cx + cos(turn) * cy + (here[1] + to[1]) / 2,
    )

    def at(share: float) -> Point:
        if share in {0.0, 1.0}:
            return to if share else here
        ex, ey = rx * cos(first + share * sweep), ry * sin(first + share * sweep)
        return middle[0] + cos(turn) * ex - sin(turn) * ey, middle[1] + sin(turn) * ex + cos(turn) * ey

    if abs(rx - ry) < 1e-6 * rx and pen.place.keeps_circles:
        pen.arc(at(0.5), *to)
    else:
        pen.curve(at, *to)


def draw_ellipse(pen: Pen, middle: Point, rx: float, ry: float) -> None:
    """A circle or ellipse as two halves."""
    pen.move(middle[0] + rx, middle[1])
    draw_arc(pen, (rx, ry, 0), (False, True), (middle[0] - rx, middle[1]))
    draw_arc(pen, (rx, ry, 0), (False, True), (middle[0] + rx, middle[1]))
    pen.close()


def draw_rectangle(pen: Pen, box: tuple[float, float, float, float], rx: float, ry: float) -> None:
    """A rectangle (left, top, width, height), its corners rounded."""
    x, y, wide, high = box
    rx, ry = min(rx, wide / 2), min(ry, high / 2)
    corners = (
        ((x + wide - rx, y), (x + wide, y + ry)),
        ((x + wide, y + high - ry), (x + wide - rx, y + high)),
        ((x + rx, y + high), (x, y + high - ry)),
        ((x, y + ry), (x + rx, y)),
    )
    pen.move(x + rx, y)
    for before, after in corners:
        pen.line(*before)
        if rx > 0 and ry > 0:
            draw_arc(pen, (rx, ry, 0), (False, True), after)
    pen.close()
