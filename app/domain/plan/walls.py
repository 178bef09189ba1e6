"""Doors and gates in straight walls: which wall one is in, and where along it."""

from collections.abc import Sequence
from math import hypot

from app.domain.plan.arcs import Line, Point


def from_wall(point: Point, wall: Line) -> float:
    """How far a point lies from a straight wall [ft].

    >>> from_wall((5, 3), Line((0, 0), (10, 0))), from_wall((13, 4), Line((0, 0), (10, 0)))
    (3.0, 5.0)
    """
    x, y = _on(wall, _along(wall, point, 0.0))
    return hypot(point[0] - x, point[1] - y)


def in_wall(walls: Sequence[Line], at: Point, width: float) -> tuple[Point, Point] | None:
    """The two ends of an opening of `width` [ft] in the wall nearest to `at`, whole within it; None without a wall.

    One wider than its wall takes the whole of it. Of walls equally near the first is taken. Source: geometry.

    >>> in_wall([Line((0, 0), (10, 0)), Line((10, 0), (10, 8))], (0.5, 1), 3)
    ((0.0, 0.0), (3.0, 0.0))
    """
    if not walls:
        return None
    wall = min(walls, key=lambda one: from_wall(at, one))
    half = min(width / 2, wall.length / 2)
    middle = _along(wall, at, half)
    return _on(wall, middle - half), _on(wall, middle + half)


def slid(walls: Sequence[Line], at: Point, width: float) -> Point:
    """The middle of an opening that is dragged to `at` [ft]: it stays in the nearest wall; free where there is none.

    >>> slid([Line((0, 0), (10, 0))], (4, 2.5), 3)
    (4.0, 0.0)
    """
    ends = in_wall(walls, at, width)
    if ends is None:
        return at
    (ax, ay), (bx, by) = ends
    return (ax + bx) / 2, (ay + by) / 2


def _along(wall: Line, point: Point, half: float) -> float:
    """How far from a wall's start the place nearest to a point lies, at least `half` from both ends [ft]."""
    (ax, ay), (bx, by) = wall.start, wall.end
    along = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / wall.length
    return min(max(along, half), wall.length - half)


def _on(wall: Line, along: float) -> Point:
    (ax, ay), (bx, by) = wall.start, wall.end
    return ax + (bx - ax) * along / wall.length, ay + (by - ay) * along / wall.length
