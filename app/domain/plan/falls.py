"""How finished surfaces fall beside a house: away from each wall they lie in front of, or toward it."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, degrees
from typing import Any

import shapely

from app.domain.plan.arcs import Line, Point
from app.domain.plan.levels import Surfaced, fall_along
from app.domain.plan.outline import Outline, chords, segments

LEAST_BEFORE = 1.0  # sq ft: a surface with less than this in front of a wall does not lie there
_SAME_WAY = 1.0  # degrees
_AT_WALL = 1e-6  # ft


@dataclass(frozen=True, slots=True)
class WallFall:
    """How a surface falls away from a wall it lies in front of [rise over run]; negative: toward it.

    `faces` is the way the wall looks [degrees clockwise from the top of the plan].
    """

    faces: float
    fall: float


def falls_from_house(surface: Surfaced, house: Outline, reach: float) -> tuple[WallFall, ...]:
    """How a surface falls away from each wall of the house that it lies in front of, within `reach` [ft] of it.

    The worst first; empty where it lies in front of none, or where its fall or direction is not told. Of a curved wall
    the chord counts. Source: geometry.
    """
    if surface.outline is None:
        return ()
    own, body = chords(surface.outline).polygon, chords(house).polygon
    found = []
    for start, end in _walls(house):
        away = _outward(start, end)
        fall = fall_along(surface, away)
        if fall is not None and _before(start, end, reach, body).intersection(own).area >= LEAST_BEFORE:
            found.append(WallFall(_bearing(away), fall))
    return tuple(sorted(found, key=lambda one: (one.fall, one.faces)))


def wall_bearings(house: Outline) -> tuple[float, ...]:
    """The ways the walls of a house look [degrees clockwise from the top of the plan], each once, from the top on."""
    found: list[float] = []
    for bearing in sorted(_bearing(_outward(*wall)) for wall in _walls(house)):
        if all(abs((bearing - one + 180) % 360 - 180) > _SAME_WAY for one in found):
            found.append(bearing)
    return tuple(found)


def _walls(house: Outline) -> Iterator[tuple[Point, Point]]:
    return ((piece.start, piece.end) for piece in segments(house) if Line(piece.start, piece.end).length > 0)


def _outward(start: Point, end: Point) -> Point:
    """One foot away from an outline, which lies at the left of its walls."""
    long = Line(start, end).length
    return (end[1] - start[1]) / long, -(end[0] - start[0]) / long


def _bearing(way: Point) -> float:
    return round(degrees(atan2(way[0], way[1])) % 360, 6) % 360


def _before(start: Point, end: Point, reach: float, body: Any) -> Any:
    """The strip in front of a wall, as far as the house itself does not stand in it."""
    x, y = _outward(start, end)
    far = ((end[0] + reach * x, end[1] + reach * y), (start[0] + reach * x, start[1] + reach * y))
    strip: Any = shapely.polygons([start, end, *far]).difference(body)
    wall = shapely.linestrings([start, end])
    parts = [part for part in getattr(strip, "geoms", [strip]) if part.distance(wall) < _AT_WALL and part.area > 0]
    return shapely.union_all(parts)
