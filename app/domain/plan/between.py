"""What lies between two things of a plan: distances and overlap. Chords stay within 1/64 in of arcs."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import shapely

from app.domain.plan.outline import Outline, chords

Place = tuple[float, float]


def apart(one: Outline, other: Outline) -> float:
    """Shortest distance [ft] between two outlines; 0 where they touch or overlap. Source: geometry.

    >>> from app.domain.plan.shapes import rectangle
    >>> apart(rectangle(10, 10), rectangle(5, 5, at=(13, 14)))
    5.0
    """
    return _distance(chords(one).polygon, chords(other).polygon)


def from_point(outline: Outline, point: Place) -> float:
    """Shortest distance [ft] from a point to an outline; 0 inside it. Source: geometry.

    >>> from app.domain.plan.shapes import rectangle
    >>> from_point(rectangle(10, 10), (15, 5)), from_point(rectangle(10, 10), (5, 5))
    (5.0, 0.0)
    """
    return _distance(chords(outline).polygon, shapely.points(point))


def to_edge(outline: Outline, point: Place) -> float:
    """Distance [ft] from a point to the nearest edge of an outline, from inside as from outside. Source: geometry.

    >>> from app.domain.plan.shapes import rectangle
    >>> to_edge(rectangle(10, 8), (5, 5))
    3.0
    """
    return _distance(chords(outline).polygon.boundary, shapely.points(point))


def contains(outline: Outline, point: Place) -> bool:
    """Whether a point lies in an outline or on its edge."""
    return from_point(outline, point) == 0.0


def from_line(points: Sequence[Place], point: Place) -> float:
    """Shortest distance [ft] from a point to a line of two points or more. Source: geometry.

    >>> from_line([(0, 0), (10, 0)], (5, 4))
    4.0
    """
    return _distance(shapely.linestrings(points), shapely.points(point))


def overlap(one: Outline, other: Outline) -> float:
    """Area [sq ft] that two outlines have in common. Source: geometry.

    >>> from app.domain.plan.shapes import rectangle
    >>> overlap(rectangle(10, 10), rectangle(10, 10, at=(8, 5)))
    10.0
    """
    return float(chords(one).polygon.intersection(chords(other).polygon).area)


def crosses(points: Sequence[Place], outline: Outline) -> float:
    """Length [ft] of a line that runs within an outline. Source: geometry.

    >>> from app.domain.plan.shapes import rectangle
    >>> crosses([(-5, 5), (20, 5)], rectangle(10, 10))
    10.0
    """
    return float(chords(outline).polygon.intersection(shapely.linestrings(points)).length)


def runs_inside(points: Sequence[Place], outline: Outline, deeper: float) -> bool:
    """Whether a line runs further inside an outline than `deeper` [ft] from its edge: through a house, not along it.

    >>> from app.domain.plan.shapes import rectangle
    >>> runs_inside([(0, 0), (10, 0)], rectangle(10, 10), 0.25), runs_inside([(0, 0), (9, 9)], rectangle(10, 10), 0.25)
    (False, True)
    """
    return bool(_core(outline, deeper).intersects(shapely.linestrings(points)))


@lru_cache(maxsize=64)
def _core(outline: Outline, deeper: float) -> Any:
    return chords(outline).polygon.buffer(-deeper)


def _distance(one: Any, other: Any) -> float:
    return float(shapely.distance(one, other))  # type: ignore[no-untyped-call]
