"""Outlines: exact closed shapes of straight edges and circular arcs, in feet, y north, from the job's datum."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from shapely.geometry import Polygon
from shapely.validation import explain_validity

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, Point, Ring, Segment, ring_area
from app.domain.plan.wkt import UnreadableOutline, read_rings, write_rings
from app.domain.units import format_length

LEAST_EDGE = 1e-4  # ft: an edge shorter than this is a point typed twice
LEAST_AREA = 1e-3  # sq ft
FINE = 1 / 64 / 12  # ft: chords stay within 1/64 in of their arc


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed outline as OGC curve WKT (`CURVEPOLYGON (COMPOUNDCURVE (…))` or `POLYGON ((…))`), feet.

    `shape` and `sizes` remember how it was typed (rectangle: width, depth; circle: radius; L: width, depth, cut width,
    cut depth; points: none), so that it can be typed again. They never decide a measure: the WKT does.
    """

    wkt: str
    shape: str = "points"
    sizes: tuple[float, ...] = ()


class OutlineCrossesItself(BadValue):
    """Two edges of the outline cross or touch."""


class EmptyOutline(BadValue):
    """The outline encloses nothing."""


class EdgeWithoutLength(BadValue):
    """Two points in a row are the same."""


@dataclass(frozen=True, slots=True)
class Chords:
    """A fine polygon for the geometry library. `owners` names, for each of its edges, the segment it stands for.

    Edges are counted along the outer ring, then along each hole, in the order of `segments(outline)`.
    """

    polygon: Polygon
    owners: tuple[int, ...]


def outline_of_rings(rings: Iterable[Ring], shape: str = "points", sizes: tuple[float, ...] = ()) -> Outline:
    """An outline of rings as typed (outer first), checked.

    Raises: OutlineCrossesItself, EmptyOutline, EdgeWithoutLength, UnreadableOutline.
    """
    outline = Outline(write_rings(tuple(rings)), shape, sizes)
    rings_of(outline)
    return outline


def checked(outline: Outline) -> Outline:
    """The outline itself once it is known to be readable, closed, not crossing, not empty; else raises."""
    rings_of(outline)
    return outline


def rings_of(outline: Outline) -> tuple[Ring, ...]:
    """The outline's rings: the outer one counterclockwise, then holes clockwise.

    Raises: UnreadableOutline, OutlineCrossesItself, EmptyOutline, EdgeWithoutLength.
    """
    return _rings(outline.wkt)


def segments(outline: Outline) -> tuple[Segment, ...]:
    """All edges and arcs, the outline at the left of each: outer ring first, then holes."""
    return tuple(piece for ring in _rings(outline.wkt) for piece in ring)


def chords(outline: Outline, tolerance: float = FINE) -> Chords:
    """The outline as a polygon of chords within `tolerance` [ft] of its arcs, for the geometry library."""
    return _chords(outline.wkt, tolerance)


@lru_cache(maxsize=4096)
def _rings(wkt: str) -> tuple[Ring, ...]:
    typed = read_rings(wkt)
    rings = tuple(_turned_right(ring, hole=place > 0) for place, ring in enumerate(typed))
    for ring in rings:
        for piece in ring:
            if piece.length < LEAST_EDGE:
                raise EdgeWithoutLength(f"The point {_place(piece.start)} is there twice in a row. Take one out.")
    polygon = _polygon(rings, FINE)
    if not polygon.is_valid:
        reason = explain_validity(polygon)  # type: ignore[no-untyped-call]
        raise OutlineCrossesItself(_crossing(reason))
    if sum(ring_area(ring) for ring in rings) < LEAST_AREA:
        raise EmptyOutline("The outline encloses no area. Check that its points go around the zone.")
    return rings


def _turned_right(ring: Ring, *, hole: bool) -> Ring:
    if (ring_area(ring) < 0) == hole:
        return ring
    return tuple(piece.backward() for piece in reversed(ring))


@lru_cache(maxsize=2048)
def _chords(wkt: str, tolerance: float) -> Chords:
    rings = _rings(wkt)
    owners: list[int] = []
    for number, piece in enumerate(piece for ring in rings for piece in ring):
        owners += [number] * sum(1 for _ in piece.points(tolerance))
    polygon = _polygon(rings, tolerance)
    return Chords(polygon, tuple(owners))


def _polygon(rings: tuple[Ring, ...], tolerance: float) -> Polygon:
    paths = [[point for piece in ring for point in piece.points(tolerance)] for ring in rings]
    if any(len(path) < 3 for path in paths):
        raise EmptyOutline("An outline needs at least three points, or an arc. Add the missing points.")
    return Polygon(paths[0], paths[1:])  # type: ignore[no-untyped-call]


def _crossing(reason: str) -> str:
    where = re.search(r"\[(-?[0-9.e+-]+) (-?[0-9.e+-]+)\]", reason)
    near = f" near {_place((float(where[1]), float(where[2])))}" if where else ""
    return f"The outline crosses or touches itself{near}. Check the order of the points there."


def _place(point: Point) -> str:
    return f"{format_length(point[0])} east, {format_length(point[1])} north"


__all__ = [
    "FINE",
    "Arc",
    "Chords",
    "EdgeWithoutLength",
    "EmptyOutline",
    "Line",
    "Outline",
    "OutlineCrossesItself",
    "Point",
    "Ring",
    "Segment",
    "UnreadableOutline",
    "checked",
    "chords",
    "outline_of_rings",
    "rings_of",
    "segments",
]
