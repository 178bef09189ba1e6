"""Straight edges and circular arcs: the two pieces every outline is made of, with closed formulas for each."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import acos, atan2, ceil, cos, hypot, pi, sin, tau

Point = tuple[float, float]

MOST_CHORDS = 20_000  # enough for 1/64 in on half a circle of 60 miles
LEAST_RISE = 1e-6  # ft: an arc that rises less than this above its chord is none


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge from `start` to `end` [ft]."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Length [ft]. Source: geometry."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def backward(self) -> "Line":
        """The same edge, walked the other way."""
        return Line(self.end, self.start)

    def points(self, tolerance: float) -> Iterator[Point]:  # noqa: ARG002 (the arc needs it)
        """The points that stand for the edge, without its end."""
        yield self.start

    def extremes(self) -> Iterator[Point]:
        """The points that bounds rest on."""
        yield self.start


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc [ft] from `start` over `through` to `end`; `sweep` [rad] is positive counterclockwise."""

    start: Point
    through: Point
    end: Point
    center: Point
    radius: float
    from_angle: float
    sweep: float

    @property
    def length(self) -> float:
        """Length along the arc [ft]. Source: geometry."""
        return self.radius * abs(self.sweep)

    def backward(self) -> "Arc":
        """The same arc, walked the other way."""
        return Arc(
            self.end, self.through, self.start, self.center, self.radius, self.from_angle + self.sweep, -self.sweep
        )

    def at(self, share: float) -> Point:
        """The point at a share (0 to 1) of the way along the arc; both ends are exact."""
        if share in {0, 1}:
            return self.end if share else self.start
        angle = self.from_angle + share * self.sweep
        return self.center[0] + self.radius * cos(angle), self.center[1] + self.radius * sin(angle)

    def points(self, tolerance: float) -> Iterator[Point]:
        """Points on the arc, without its end, whose chords stay within `tolerance` [ft] of it: 2 to `MOST_CHORDS`."""
        half = acos(max(1 - tolerance / self.radius, 0.5))
        count = min(max(2, ceil(abs(self.sweep) / (2 * half))), MOST_CHORDS)
        return (self.at(step / count) for step in range(count))

    def extremes(self) -> Iterator[Point]:
        """The points that bounds rest on: the start, and where the arc runs furthest north, south, east or west."""
        yield self.start
        low, high = sorted((self.from_angle, self.from_angle + self.sweep))
        for quarter in range(ceil(low / (pi / 2)), int(high // (pi / 2)) + 1):
            angle = quarter * pi / 2
            yield self.center[0] + self.radius * cos(angle), self.center[1] + self.radius * sin(angle)


Segment = Line | Arc
Ring = tuple[Segment, ...]


def arc_through(start: Point, through: Point, end: Point) -> Arc | None:
    """The arc from `start` over `through` to `end`, or None where the three lie on a line (or two of them coincide).

    >>> arc_through((1, 0), (0, 1), (-1, 0)).length / pi
    1.0
    """
    ax, ay = through[0] - start[0], through[1] - start[1]
    bx, by = end[0] - start[0], end[1] - start[1]
    doubled = 2 * (ax * by - ay * bx)
    chord = hypot(bx, by)
    if chord == 0 or abs(doubled) / (2 * chord) < LEAST_RISE:
        return None
    a, b = ax * ax + ay * ay, bx * bx + by * by
    x, y = (by * a - ay * b) / doubled, (ax * b - bx * a) / doubled
    center = start[0] + x, start[1] + y
    first, last = atan2(-y, -x), atan2(by - y, bx - x)
    # on a counterclockwise arc the point between lies right of the chord
    sweep = (last - first) % tau if doubled > 0 else -((first - last) % tau)
    return Arc(start, through, end, center, hypot(x, y), first, sweep)


def through_of_rise(start: Point, end: Point, rise: float) -> Point:
    """The middle of the arc that rises `rise` [ft] above the chord: right of the way from start to end if positive.

    >>> through_of_rise((0, 0), (10, 0), 2)
    (5.0, -2.0)
    """
    x, y = end[0] - start[0], end[1] - start[1]
    chord = hypot(x, y)
    return (start[0] + end[0]) / 2 + rise * y / chord, (start[1] + end[1]) / 2 - rise * x / chord


def ring_area(ring: Ring) -> float:
    """Area [sq ft] of a closed ring, positive when walked counterclockwise. Source: geometry.

    The polygon of the chords (shoelace formula) and, for each arc, its circular segment r²/2 · (θ − sin θ).
    """
    x0, y0 = ring[0].start
    twice = 0.0
    for piece in ring:
        (ax, ay), (bx, by) = piece.start, piece.end
        twice += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        if isinstance(piece, Arc):
            twice += piece.radius**2 * (piece.sweep - sin(piece.sweep))
    return twice / 2


def ring_moment(ring: Ring) -> Point:
    """First moments of area [ft³] of a closed ring about its own first point. Source: geometry.

    A circular segment's moment about its center is 2/3 · r³ · sin³(θ/2) along its middle.
    """
    x0, y0 = ring[0].start
    mx = my = 0.0
    for piece in ring:
        ax, ay, bx, by = piece.start[0] - x0, piece.start[1] - y0, piece.end[0] - x0, piece.end[1] - y0
        cross = ax * by - bx * ay
        mx += cross * (ax + bx) / 6
        my += cross * (ay + by) / 6
        if isinstance(piece, Arc):
            segment = piece.radius**2 * (piece.sweep - sin(piece.sweep)) / 2
            reach = 2 / 3 * piece.radius**3 * sin(piece.sweep / 2) ** 3
            middle = piece.from_angle + piece.sweep / 2
            mx += segment * (piece.center[0] - x0) + reach * cos(middle)
            my += segment * (piece.center[1] - y0) + reach * sin(middle)
    return mx, my
