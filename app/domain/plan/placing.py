"""Moved, turned or mirrored: points, lines and outlines put elsewhere as they are. Lengths, areas and radii stay."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point
from app.domain.plan.measures import placed_by, turning
from app.domain.plan.outline import Outline

FURTHEST = 5_000.0  # ft


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Where things go: moved [ft] after they are turned [degrees counterclockwise] about a point, or mirrored.

    `mirror` is a line through two points; what is mirrored is not turned.
    """

    east: float = 0.0
    north: float = 0.0
    turn: float = 0.0
    about: Point = (0.0, 0.0)
    mirror: tuple[Point, Point] | None = None

    def point(self, point: Point) -> Point:
        """Where a point goes."""
        x, y = self._place()(point)
        return x + self.east, y + self.north

    def points(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Where points go."""
        return tuple(self.point(point) for point in points)

    def rises(self, rises: Sequence[float]) -> tuple[float, ...]:
        """The rises of a line's arcs: to the other side where it is mirrored."""
        return tuple(-rise + 0.0 for rise in rises) if self.mirror else tuple(rises)

    def outline(self, outline: Outline) -> Outline:
        """Where an outline goes. A mirrored L is told by its points from then on."""
        placed = placed_by(outline, self.point)
        return Outline(placed.wkt) if self.mirror and outline.shape != "circle" else placed

    def bearing(self, bearing: float) -> float:
        """A direction [degrees clockwise from the top of the plan]."""
        if self.mirror is None:
            return (bearing - self.turn) % 360
        (ax, ay), (bx, by) = self.mirror
        return (2 * (90 - degrees(atan2(by - ay, bx - ax))) - bearing) % 360

    def _place(self) -> Callable[[Point], Point]:
        return turning(self.turn, self.about) if self.mirror is None else mirroring(*self.mirror)


def placing_of(*, east: float = 0.0, north: float = 0.0, turn: float = 0.0, about: Point = (0.0, 0.0)) -> Placing:
    """A placing as typed.

    Raises: BadValue for a way further than any yard reaches.
    """
    if max(abs(east), abs(north)) > FURTHEST:
        raise BadValue(f"Moving by {max(abs(east), abs(north)):g} ft leads off any plan. Type {FURTHEST:g} ft or less.")
    return Placing(east=east, north=north, turn=turn % 360, about=about)


def mirroring(one: Point, other: Point) -> Callable[[Point], Point]:
    """The function that mirrors a point in the line through two others; level and upright lines are exact.

    Raises: BadValue where the two are the same.

    >>> mirroring((5, 0), (5, 1))((2, 7))
    (8, 7)
    """
    x, y = other[0] - one[0], other[1] - one[1]
    long = hypot(x, y)
    if long == 0:
        raise BadValue("A mirror line needs two different points. Type another one.")
    if x == 0:
        return lambda point: (2 * one[0] - point[0], point[1])
    if y == 0:
        return lambda point: (point[0], 2 * one[1] - point[1])

    def mirrored(point: Point) -> Point:
        off = ((point[0] - one[0]) * y - (point[1] - one[1]) * x) / long / long
        return point[0] - 2 * off * y, point[1] + 2 * off * x

    return mirrored
