"""Finished surfaces as planes: the level at any point, the drop between two surfaces along a shared edge.

A surface is told by its level at one point, how much it falls and which way. Levels are in feet above the job's datum,
bearings in degrees clockwise from the top of the plan, the way the water runs. What is not told is None; a surface
without a whole fall (amount and bearing) counts as level.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, fsum, hypot, radians, sin
from typing import Protocol

from app.domain.plan.arcs import Point
from app.domain.plan.measures import centroid
from app.domain.plan.outline import Outline

COMPASS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


class Surfaced(Protocol):
    """What a finished surface is told by: one way to do a zone has it."""

    @property
    def outline(self) -> Outline | None:
        """Where the surface lies."""

    @property
    def level(self) -> float | None:
        """Its level [ft] at `level_at`."""

    @property
    def level_at(self) -> Point | None:
        """The point its level holds at; None: the center of its area."""

    @property
    def fall(self) -> float | None:
        """How much it falls [rise over run]."""

    @property
    def fall_bearing(self) -> float | None:
        """Which way the water runs [degrees clockwise from the top of the plan]."""


@dataclass(frozen=True, slots=True)
class Drop:
    """How far one surface lies above another along an edge [ft]: at both ends, the most, the least and the mean.

    Negative where it lies below.
    """

    start: float
    end: float
    most: float
    least: float
    mean: float

    @property
    def deepest(self) -> float:
        """The largest difference, whichever lies above [ft, never negative]."""
        return max(abs(self.most), abs(self.least))


def finish_level(surface: Surfaced, point: Point) -> float | None:
    """The finish level [ft above the datum] of a surface at a point [ft], also beyond its outline.

    None where its level is not told, or where it holds at the center of an outline that is not known. Source: geometry.
    """
    if surface.level is None:
        return None
    if not surface.fall or surface.fall_bearing is None:
        return surface.level
    at = surface.level_at or (centroid(surface.outline) if surface.outline else None)
    if at is None:
        return None
    east, north = runs_to(surface.fall_bearing)
    return surface.level - surface.fall * ((point[0] - at[0]) * east + (point[1] - at[1]) * north)


def drop_along(surface: Surfaced, other: Surfaced, path: Sequence[Point]) -> Drop | None:
    """How far `surface` lies above `other` along the points of a shared edge [ft]; None where either is not told.

    Both are planes, so that on a straight edge the most and the least lie at its ends; on an arc, at a point of `path`.
    """
    found: list[float] = []
    for point in path:
        here, there = finish_level(surface, point), finish_level(other, point)
        if here is None or there is None:
            return None
        found.append(here - there)
    return drop_of(path, found) if found else None


def drop_of(path: Sequence[Point], heights: Sequence[float]) -> Drop:
    """The drop whose height [ft] is known at every point of an edge, and runs straight between them.

    >>> drop_of([(0, 0), (30, 0), (40, 0)], [0, 0, 2])
    Drop(start=0, end=2, most=2, least=0, mean=0.25)
    """
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path)]
    whole = fsum(lengths)
    means = (length * (a + b) / 2 for length, (a, b) in zip(lengths, pairwise(heights), strict=True))
    mean = fsum(means) / whole if whole else heights[0]
    return Drop(heights[0], heights[-1], max(heights), min(heights), mean)


def runs_to(bearing: float) -> Point:
    """The direction of a bearing [degrees clockwise from the top] as one foot east and north.

    >>> runs_to(90)
    (1.0, 0.0)
    """
    quarters = {0.0: (0.0, 1.0), 90.0: (1.0, 0.0), 180.0: (0.0, -1.0), 270.0: (-1.0, 0.0)}
    return quarters.get(bearing % 360, (sin(radians(bearing)), cos(radians(bearing))))


def compass_word(bearing: float, north: float = 0.0) -> str:
    """The nearest of the eight winds to a bearing of the plan whose north lies at `north` [degrees clockwise].

    >>> compass_word(80), compass_word(80, north=90)
    ('east', 'north')
    """
    return COMPASS[int(((bearing - north) % 360 + 22.5) // 45) % 8]


def fall_along(surface: Surfaced, way: Point) -> float | None:
    """How much a surface falls going along a direction [rise over run, negative where it rises].

    None where its fall is not told, or which way it falls is not.
    """
    if surface.fall is None or (surface.fall and surface.fall_bearing is None):
        return None
    long = hypot(*way)
    if not surface.fall or not long:
        return 0.0
    east, north = runs_to(surface.fall_bearing or 0.0)
    return surface.fall * fsum((way[0] * east, way[1] * north)) / long
