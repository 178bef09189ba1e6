"""Doors and gates in walls and fences, straight or curved: which one they are in, and where along it."""

from collections.abc import Sequence
from math import asin

from app.domain.plan.arcs import Arc, Point, Segment
from app.domain.plan.pieces import away, point_at, share_of


def from_wall(point: Point, wall: Segment) -> float:
    """How far a point lies from a wall [ft].

    >>> from app.domain.plan.arcs import Line
    >>> from_wall((5, 3), Line((0, 0), (10, 0))), from_wall((13, 4), Line((0, 0), (10, 0)))
    (3.0, 5.0)
    """
    return away(wall, point)


def in_wall(walls: Sequence[Segment], at: Point, width: float) -> tuple[Point, Point] | None:
    """The two ends of an opening of `width` [ft] in the wall nearest to `at`, whole within it; None without a wall.

    One wider than its wall takes the whole of it; in a curved one both ends stand on its arc, `width` apart. Of walls
    equally near the first is taken. Source: geometry (a chord is 2 r sin(θ / 2)).

    >>> from app.domain.plan.arcs import Line
    >>> in_wall([Line((0, 0), (10, 0)), Line((10, 0), (10, 8))], (0.5, 1), 3)
    ((0, 0), (3.0, 0.0))
    """
    if not walls:
        return None
    wall = wall_of(walls, at)
    half = _half(wall, width)
    middle = _along(wall, at, half)
    return _on(wall, middle - half), _on(wall, middle + half)


def wall_of(walls: Sequence[Segment], at: Point) -> Segment:
    """The wall an opening at a point is in: the nearest, of walls equally near the first."""
    return min(walls, key=lambda one: from_wall(at, one))


def slid(walls: Sequence[Segment], at: Point, width: float) -> Point:
    """The middle of an opening that is dragged to `at` [ft]: it stays in the nearest wall; free where there is none.

    >>> from app.domain.plan.arcs import Line
    >>> slid([Line((0, 0), (10, 0))], (4, 2.5), 3)
    (4.0, 0.0)
    """
    if not walls:
        return at
    wall = wall_of(walls, at)
    return _on(wall, _along(wall, at, _half(wall, width)))


def _half(wall: Segment, width: float) -> float:
    """How far along a wall an opening reaches from its middle [ft]."""
    reach = width / 2
    if isinstance(wall, Arc):
        reach = wall.radius * asin(min(reach / wall.radius, 1.0))
    return min(reach, wall.length / 2)


def _along(wall: Segment, point: Point, half: float) -> float:
    """How far from a wall's start the place nearest to a point lies, at least `half` from both ends [ft]."""
    return min(max(share_of(wall, point) * wall.length, half), wall.length - half)


def _on(wall: Segment, along: float) -> Point:
    return point_at(wall, along / wall.length)
