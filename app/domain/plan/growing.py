"""An outline grown outward: the ground that base and digging need beyond the finished edge."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import pi

import shapely
from shapely.geometry.base import BaseGeometry

from app.domain.errors import BadValue
from app.domain.plan.arcs import Point
from app.domain.plan.measures import area, bounds, is_convex, perimeter
from app.domain.plan.nearby import Box
from app.domain.plan.outline import Outline, chords

MOST_GROWN = 100.0  # ft
TOUCHING = 2 / 12  # ft: outlines this near each other meet; the rest is drawing noise
_NOISE = 1e-6  # ft
_ROUND = 32  # chords to a quarter turn of the rounded corners


def grown(outline: Outline, distance: float) -> float:
    """Area [sq ft] of the outline grown outward by `distance` [ft, 0 to 100], outer corners rounded, holes narrowed.

    Convex outlines: exact, by Steiner's formula A + P·d + π·d². Others: the exact area plus a band found on chords
    within 1/64 in of their arcs, its rounded corners off by less than 0.05 %. Source: geometry.
    Raises: BadValue when the distance is out of range.

    >>> round(grown(Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"), 0.5), 3)
    272.785
    """
    _in_range(distance)
    return _grown(outline.wkt, float(distance))


@dataclass(frozen=True, slots=True)
class Growing:
    """An outline that grows, and what lies around it that nothing grows into: house, neighbors, their own bases."""

    outline: Outline
    solid: tuple[Outline, ...] = ()


def grown_into_open(
    one: Growing, distance: float, beside: Iterable[Growing] = (), *, touching: float = TOUCHING
) -> float:
    """Area [sq ft] of an outline grown by `distance` [ft] at edges that meet open ground only.

    What is solid is taken away, and an edge that meets it does not grow. `beside` are those of the neighbors that grow
    by as much: ground that several of them reach is shared evenly, so that it is counted once in their sum. `touching`
    [ft] is how near two edges lie that meet. What lies further off than 2 x `distance` + `touching` from an outline
    changes nothing for it. Never less than the outline's own area. Accuracy as `grown`. Order never matters.
    Raises: BadValue when the distance is out of range.
    """
    _in_range(distance)
    own, distance = one.outline, float(distance)
    reach = _reach(own, 2 * distance + touching)
    others = [twin for twin in beside if twin.outline.wkt != own.wkt and _near(reach, twin.outline)]
    if not others and not any(_near(reach, other) for other in one.solid):
        return _grown(own.wkt, distance)
    band = _band(Growing(own, (*one.solid, *(twin.outline for twin in others))), distance, touching)
    pieces = [(band, 1)]
    for twin in sorted(others, key=lambda twin: twin.outline.wkt) if not band.is_empty else ():
        if band.distance(chords(twin.outline).polygon) < distance:  # type: ignore[no-untyped-call]
            pieces = _shared(pieces, _band(Growing(twin.outline, (*twin.solid, own)), distance, touching))
    return area(own) + sum(float(piece.area) / sharers for piece, sharers in pieces)


def strips_beside(outline: Outline, path: Sequence[Point], width: float) -> tuple[Outline, ...]:
    """The ground just outside an outline, along a stretch of it, as wide as `width` [ft].

    >>> from app.domain.plan.shapes import rectangle
    >>> [area(one) for one in strips_beside(rectangle(20, 12), [(20, 0), (20, 12)], 0.5)]
    [6.0]
    """
    if width <= 0:
        return ()
    along = shapely.linestrings(path).buffer(width, quad_segs=4, cap_style="flat")
    parts = shapely.get_parts(along.difference(chords(outline).polygon))
    return tuple(Outline(str(part.wkt)) for part in parts if part.geom_type == "Polygon" and part.area > _NOISE)


@lru_cache(maxsize=4096)
def _grown(wkt: str, distance: float) -> float:
    outline = Outline(wkt)
    if is_convex(outline):
        return area(outline) + perimeter(outline) * distance + pi * distance**2
    polygon = chords(outline).polygon
    return area(outline) + max(0.0, float(polygon.buffer(distance, quad_segs=_ROUND).area - polygon.area))


def _band(one: Growing, distance: float, touching: float) -> BaseGeometry:
    """The open ground within `distance` of those edges that do not meet what is solid, and not across it."""
    reach = _reach(one.outline, distance + touching)
    near = {other.wkt for other in one.solid if _near(reach, other)} - {one.outline.wkt}  # others take nothing away
    return _kept_band(one.outline.wkt, distance, tuple(sorted(near)), touching)


@lru_cache(maxsize=4096)
def _kept_band(wkt: str, distance: float, solid: Sequence[str], touching: float) -> BaseGeometry:
    """What is solid is taken away one by one: to unite it first takes many times as long."""
    own = chords(Outline(wkt)).polygon
    open_edges = _less(own.boundary, (_widened(other, touching) for other in solid))
    if open_edges.is_empty:
        return open_edges
    around = open_edges.buffer(distance, quad_segs=_ROUND)
    parts = shapely.get_parts(_less(around, (chords(Outline(other)).polygon for other in (wkt, *solid))))
    near = shapely.distance(parts, open_edges) < _NOISE  # type: ignore[no-untyped-call]
    band: BaseGeometry = shapely.union_all(parts[near])
    return band


def _less(what: BaseGeometry, taken: Iterable[BaseGeometry]) -> BaseGeometry:
    for one in taken:
        if what.is_empty:
            break
        what = what.difference(one)
    return what


@lru_cache(maxsize=4096)
def _widened(wkt: str, touching: float) -> BaseGeometry:
    widened: BaseGeometry = chords(Outline(wkt)).polygon.buffer(touching, quad_segs=4)
    return widened


def _shared(pieces: list[tuple[BaseGeometry, int]], band: BaseGeometry) -> list[tuple[BaseGeometry, int]]:
    split: list[tuple[BaseGeometry, int]] = []
    for piece, sharers in pieces:
        both = piece.intersection(band)
        split += [(piece, sharers)] if both.is_empty else [(piece.difference(band), sharers), (both, sharers + 1)]
    return split


def _in_range(distance: float) -> None:
    if not 0 <= distance <= MOST_GROWN:
        raise BadValue(f"An outline can be grown by 0 to {MOST_GROWN:.0f} ft, not by {distance:g} ft.")


def _reach(outline: Outline, distance: float) -> Box:
    west, south, east, north = bounds(outline)
    return west - distance, south - distance, east + distance, north + distance


def _near(reach: Box, other: Outline) -> bool:
    west, south, east, north = bounds(other)
    return west <= reach[2] and east >= reach[0] and south <= reach[3] and north >= reach[1]
