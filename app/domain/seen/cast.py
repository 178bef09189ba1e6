"""Shadows on what stands: on sides that look toward the sun, and on the tops of tables, walls and counters.

A body over a convex base throws on a plane the hull of where its corners fall along the sun's way. Of the many bodies
of a yard those whose corners cannot fall on a face are left out by their bounds, all at once.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot, radians, tan
from typing import Any

import numpy as np
import shapely

from app.domain.plan.arcs import Point
from app.domain.seen.convex import polygon_of
from app.domain.seen.solids import NEAR, Solid
from app.domain.seen.sunlight import Sun, toward

Numbers = Any  # an array of floats


@dataclass(frozen=True, slots=True)
class Side:
    """An upright face: its two lower ends, the body at the left of the way, from `bottom` to `top` [ft]."""

    start: Point
    end: Point
    bottom: float
    top: float


class Cast:
    """What stands in the sun, ready to be asked what it shades."""

    def __init__(self, solids: Sequence[Solid], sun: Sun, north: float) -> None:
        casting = [one for one in solids if one.casts]
        self.solids = casting
        self.toward = toward(sun, north)
        self.fall = tan(radians(max(sun.altitude, NEAR)))  # how far light comes down on a foot of its way
        self.up = sun.is_up and bool(casting)
        counts = [len(one.base) for one in casting]
        self.points: Numbers = np.array([point for one in casting for point in one.base], dtype=float).reshape(-1, 2)
        self.bottoms: Numbers = np.repeat([one.bottom for one in casting], counts)
        self.tops: Numbers = np.repeat([one.top for one in casting], counts)
        self.starts: Numbers = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(int) if counts else np.array([])

    def on_side(self, side: Side) -> Any:
        """The shade on a side that looks toward the sun, by feet along it and height [ft]; None where there is none.

        >>> wall = Side((0.0, 10.0), (-10.0, 10.0), 0.0, 8.0)
        >>> post = Solid("post", ((-6.0, 14.0), (-4.0, 14.0), (-4.0, 15.0), (-6.0, 15.0)), 0.0, 8.0, "#000000")
        >>> shade = Cast([post], Sun(0.0, 45.0), 0.0).on_side(wall)
        >>> [float(one) for one in shade.bounds]
        [4.0, 0.0, 6.0, 4.0]
        """
        (ax, ay), (bx, by) = side.start, side.end
        long = hypot(bx - ax, by - ay)
        if not self.up or long < NEAR:
            return None
        tx, ty = (bx - ax) / long, (by - ay) / long
        nx, ny = ty, -tx
        facing = nx * self.toward[0] + ny * self.toward[1]
        if facing <= NEAR:
            return None
        x, y = self.points[:, 0] - ax, self.points[:, 1] - ay
        before = x * nx + y * ny
        way = before / facing
        along = x * tx + y * ty - way * (self.toward[0] * tx + self.toward[1] * ty)
        low, high = self.bottoms - way * self.fall, self.tops - way * self.fall
        least, most = np.minimum.reduceat, np.maximum.reduceat
        meets = (
            (most(before, self.starts) > 1e-3)
            & (least(along, self.starts) < long)
            & (most(along, self.starts) > 0)
            & (least(low, self.starts) < side.top)
            & (most(high, self.starts) > side.bottom)
        )
        shades = [
            hull
            for at in np.flatnonzero(meets)
            if (hull := self._hull(int(at), before, along, (low, high))) is not None
        ]
        return _within(shades, shapely.box(0.0, side.bottom, long, side.top))

    def _hull(self, at: int, before: Numbers, along: Numbers, heights: tuple[Numbers, Numbers]) -> Any:
        """Where the part of one body that stands before the face falls on it; None for none."""
        first = int(self.starts[at])
        places = range(first, first + len(self.solids[at].base))
        low, high = heights
        ring = [(float(before[n]), float(along[n]), float(low[n]), float(high[n])) for n in places]
        corners = [(u, z) for _, u, a, b in _before(ring) for z in (a, b)]
        return _hulled(corners) if len(corners) > 4 else None

    def on_top(self, base: Sequence[Point], level: float) -> Any:
        """The shade on a level top [ft], on the plan; None where there is none.

        >>> post = Solid("post", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)), 0.0, 10.0, "#000000")
        >>> table = ((0.0, 4.0), (1.0, 4.0), (1.0, 6.0), (0.0, 6.0))
        >>> round(float(Cast([post], Sun(180.0, 45.0), 0.0).on_top(table, 3.0).area), 9)
        2.0
        """
        if not self.up:
            return None
        long = 1 / self.fall
        rises = [np.maximum(height - level, 0.0) * long for height in (self.bottoms, self.tops)]
        x, y = self.toward
        ends = [(self.points[:, 0] - x * rise, self.points[:, 1] - y * rise) for rise in rises]
        polygon = polygon_of(base)
        west, south, east, north = polygon.bounds
        least, most = np.minimum.reduceat, np.maximum.reduceat
        (ax, ay), (bx, by) = ends
        meets = (
            (most(self.tops, self.starts) > level + NEAR)
            & (least(np.minimum(ax, bx), self.starts) < east)
            & (most(np.maximum(ax, bx), self.starts) > west)
            & (least(np.minimum(ay, by), self.starts) < north)
            & (most(np.maximum(ay, by), self.starts) > south)
        )
        shades = []
        for at in np.flatnonzero(meets):
            first = int(self.starts[at])
            places = range(first, first + len(self.solids[at].base))
            corners = [(float(px[n]), float(py[n])) for px, py in ends for n in places]
            shades.append(_hulled(corners))
        return _within(shades, polygon)


Corner = tuple[float, float, float, float]  # before the face [ft], along it, its lowest and highest height there


def _before(ring: Sequence[Corner]) -> Iterator[Corner]:
    """The corners of a base as far as it lies before a face: those before it, and where its edges cross it."""
    for place, corner in enumerate(ring):
        last = ring[place - 1]
        if (corner[0] >= 0) != (last[0] >= 0):
            share = last[0] / (last[0] - corner[0])
            along, low, high = (a + (b - a) * share for a, b in zip(last[1:], corner[1:], strict=True))
            yield 0.0, along, low, high
        if corner[0] >= 0:
            yield corner


def _hulled(corners: Sequence[Point]) -> Any:
    return shapely.convex_hull(shapely.multipoints(corners))  # type: ignore[no-untyped-call]


def _within(shades: Sequence[Any], face: Any) -> Any:
    if not shades:
        return None
    found = shapely.intersection(shapely.union_all(shades), face)
    return None if found.is_empty else found
