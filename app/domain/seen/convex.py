"""Outlines in convex parts, with which sides are edges of the outline: so that parts can be told before and behind."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords
from app.domain.seen.solids import is_convex

CHORD = 1 / 8  # ft: how far chords may lie from an arc
KEPT = 5  # decimals of a foot by which corners are told apart


@dataclass(frozen=True, slots=True)
class Part:
    """A convex part: its corners counterclockwise, and which of its sides (from each corner on) are the outline's."""

    points: tuple[Point, ...]
    drawn: tuple[bool, ...]


def convex_parts(outline: Outline) -> tuple[Part, ...]:
    """An outline, arcs as chords, in convex parts: itself where it is convex, else triangles joined as they can be."""
    return _parts(outline.wkt)


@lru_cache(maxsize=2048)
def _parts(wkt: str) -> tuple[Part, ...]:
    return parts_of(chords(Outline(wkt), CHORD).polygon)


def parts_of(polygon: Any) -> tuple[Part, ...]:
    """The same of a polygon of the geometry library."""
    turned = _leftward(polygon)
    rings = [_ring(ring) for ring in (turned.exterior, *turned.interiors)]
    if len(rings) == 1 and is_convex(rings[0]):
        return (Part(tuple(rings[0]), (True,) * len(rings[0])),)
    edges = {side for ring in rings for side in _sides(ring)}
    found: Any = shapely.constrained_delaunay_triangles(polygon)  # type: ignore[no-untyped-call]
    pieces = [_ring(_leftward(one).exterior) for one in found.geoms if one.area > 1e-6]
    joined = _joined(pieces)
    return tuple(Part(tuple(ring), tuple(side in edges for side in _sides(ring))) for ring in joined)


def _leftward(polygon: Any) -> Any:
    return orient(polygon)  # type: ignore[no-untyped-call]


def _ring(ring: Any) -> list[Point]:
    points = [(round(x, KEPT), round(y, KEPT)) for x, y, *_ in ring.coords[:-1]]
    return [point for place, point in enumerate(points) if point != points[place - 1]]


def _sides(ring: list[Point]) -> list[tuple[Point, Point]]:
    return [(point, ring[(place + 1) % len(ring)]) for place, point in enumerate(ring)]


def _joined(pieces: list[list[Point]]) -> list[list[Point]]:
    """Parts joined over a shared side as long as what comes of it is convex (after Hertel and Mehlhorn)."""
    left = sorted(pieces)
    place = 0
    while place < len(left):
        found = next(
            (
                (other, ring)
                for other in range(place + 1, len(left))
                if (ring := _over_a_side(left[place], left[other])) is not None
            ),
            None,
        )
        if found is None:
            place += 1
        else:
            left[place] = found[1]
            del left[found[0]]
    return left


def _over_a_side(one: list[Point], other: list[Point]) -> list[Point] | None:
    theirs = {(a, b): place for place, (a, b) in enumerate(_sides(other))}
    for place, (a, b) in enumerate(_sides(one)):
        at = theirs.get((b, a))
        if at is not None:
            ours = one[place + 1 :] + one[: place + 1]  # from b round to a
            ring = [*ours, *(other[(at + 2 + step) % len(other)] for step in range(len(other) - 2))]
            return ring if is_convex(ring) and len(set(ring)) == len(ring) else None
    return None


def polygon_of(points: Iterable[Point]) -> Any:
    """Corners as a polygon of the geometry library."""
    return Polygon(list(points))  # type: ignore[no-untyped-call]
