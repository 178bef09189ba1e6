"""Points told for two tapes and a baseline: swing ties from fixed points, stations and offsets. Lengths in feet.

Ties are chosen by how little a point moves when both tapes are off: they cross near a right angle and are short.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import acos, degrees, hypot, sin

from app.domain.plan.arcs import Point
from app.domain.plan.crossing import FLAT, is_left

LEAST_TIE = 1.0  # ft: a tie shorter than this tells no direction
LONGEST_TIE = 100.0  # ft: common practice, no source: the tape in the truck
_READ = 1 / 16 / 12  # ft: how well a tape is read
_STRETCH = 5e-5  # ft per ft: sag and pull; an assumption, 1/16 in in 100 ft


@dataclass(frozen=True, slots=True)
class Fixed:
    """A point that stands already and that a tape can be held on: a house corner, a mark, a door jamb."""

    title: str
    at: Point


@dataclass(frozen=True, slots=True)
class Station:
    """Along a baseline from its start, and off it: to the left of the way if positive."""

    along: float
    off: float


@dataclass(frozen=True, slots=True)
class Ties:
    """Two tapes that meet in a point. `left`: the point lies left of the way from the first to the second.

    `angle` [degrees] is how they cross; `flat` says that they cross too flat to be trusted alone.
    """

    first: str
    first_length: float
    second: str
    second_length: float
    left: bool
    angle: float

    @property
    def flat(self) -> bool:
        """Whether the tapes cross flatter than `FLAT`."""
        return not FLAT <= self.angle <= 180 - FLAT


def station(point: Point, start: Point, end: Point) -> Station:
    """Where a point lies along a baseline and off it. Source: geometry.

    >>> station((3, 4), (0, 0), (10, 0))
    Station(along=3.0, off=4.0)
    """
    x, y = end[0] - start[0], end[1] - start[1]
    long = hypot(x, y)
    px, py = point[0] - start[0], point[1] - start[1]
    return Station((px * x + py * y) / long, (x * py - y * px) / long)


def swing_ties(point: Point, fixed: Sequence[Fixed], longest: float = LONGEST_TIE) -> Ties | None:
    """The two tapes to fixed points whose crossing moves least when both are read a little wrong.

    The spread of the crossing is √(s₁² + s₂²) / sin γ, γ the angle between the tapes, s their own spread: source, the
    propagation of errors. None where fewer than two fixed points lie between 1 ft and `longest` [ft] away.

    >>> swing_ties((4, 3), [Fixed("A", (0, 0)), Fixed("B", (8, 0))])
    Ties(first='A', first_length=5.0, second='B', second_length=5.0, left=True, angle=106.26)
    """
    near = [(one, reach) for one in fixed if LEAST_TIE <= (reach := apart(one.at, point)) <= longest]
    pairs = [(_spread(point, a, b), a[0].title, b[0].title, a, b) for a, b in combinations(near, 2)]
    if not pairs:
        return None
    *_, (first, one), (second, other) = min(pairs, key=lambda pair: (round(pair[0], 9), pair[1], pair[2]))
    return Ties(
        first=first.title,
        first_length=one,
        second=second.title,
        second_length=other,
        left=is_left(point, first.at, second.at),
        angle=round(degrees(crossing_angle(point, first.at, second.at)), 2),
    )


def _spread(point: Point, one: tuple[Fixed, float], other: tuple[Fixed, float]) -> float:
    crossing = sin(crossing_angle(point, one[0].at, other[0].at))
    spreads = hypot(_READ + _STRETCH * one[1], _READ + _STRETCH * other[1])
    return spreads / max(crossing, 1e-9)


def crossing_angle(point: Point, one: Point, other: Point) -> float:
    """The angle [rad] at a point between the ways to two others. Source: geometry."""
    ax, ay, bx, by = one[0] - point[0], one[1] - point[1], other[0] - point[0], other[1] - point[1]
    cosine = (ax * bx + ay * by) / (hypot(ax, ay) * hypot(bx, by))
    return acos(max(-1.0, min(1.0, cosine)))


def apart(one: Point, other: Point) -> float:
    """How far two points lie apart [ft]."""
    return hypot(one[0] - other[0], one[1] - other[1])
