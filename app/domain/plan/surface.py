"""The ground between spot levels: triangles, the level at a point, contours, how a zone falls, cut and fill.

Spots are x, y and level in feet. Between them the ground is taken as flat triangles (Delaunay); beyond their hull
nothing is known and nothing is told.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import heapify, heappop, heappush
from itertools import combinations
from math import atan2, ceil, degrees, hypot
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords

Spot = tuple[float, float, float]
FEWEST = 3
COVERED = 0.5  # share of a zone the spots must cover before its fall is told (assumption)
_SAME = 1e-3  # ft: spots nearer than this are one
_THIN = 1e-9  # of the square of its longest side: a triangle with less area is a line
_ON = 1e-9


@dataclass(frozen=True, slots=True)
class Triangle:
    """Three spots; the plane through them is `a + b·x + c·y`."""

    corners: tuple[Spot, Spot, Spot]
    a: float
    b: float
    c: float

    def level(self, point: Point) -> float:
        """The level of its plane at a point [ft]."""
        return self.a + self.b * point[0] + self.c * point[1]


@dataclass(frozen=True, slots=True)
class Surface:
    """The ground as triangles between spots; none where the spots lie in one line."""

    spots: tuple[Spot, ...]
    triangles: tuple[Triangle, ...]

    def level(self, point: Point) -> float | None:
        """The level of the ground at a point [ft]; None beyond the spots."""
        found = next((one for one in self.triangles if _holds(one, point)), None)
        return None if found is None else found.level(point)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundFall:
    """How the ground falls within an outline, by the plane that fits it best.

    `level` [ft] at `at`; `fall` as rise over run, `bearing` in degrees clockwise from the top of the plan, the way
    water runs (None where it is level); `off` [ft]: how far the ground lies off that plane at most; `covered`: the
    share of the outline the spots cover.
    """

    level: float
    at: Point
    fall: float
    bearing: float | None
    off: float
    covered: float


@dataclass(frozen=True, slots=True)
class CutFill:
    """Earth between the ground and a finished surface, in place [cu ft], and the area that the spots cover [sq ft]."""

    cut: float
    fill: float
    covered: float


@dataclass(frozen=True, slots=True)
class LowPoint:
    """A spot that is higher all around: where, its level [ft], how deep water stands before it runs on [ft]."""

    at: Point
    level: float
    depth: float


def low_points(surface: Surface) -> tuple[LowPoint, ...]:
    """Spots within the measured ground from which no water runs off, the deepest first; one for each hollow.

    What lies at the edge of the spots is told nothing of: beyond them the ground is not known. Water runs along edges
    of triangles, where the way over the ground is lowest. Source: R. Barnes, C. Lehman, D. Mulla, Priority-flood,
    Computers & Geosciences 62 (2014), from memory.

    >>> around = [(0, 0, 1.0), (10, 0, 0.5), (20, 0, 1.0), (0, 10, 1.0), (20, 10, 1.0), (0, 20, 1.0), (20, 20, 1.0)]
    >>> [(one.at, one.depth) for one in low_points(surface_of([*around, (10, 20, 1.0), (10, 10, 0.25)]))]
    [((10.0, 10.0), 0.25)]
    """
    beside, edge = _neighbors(surface)
    filled = {spot: spot[2] for spot in edge}
    waiting = [(spot[2], spot) for spot in edge]
    heapify(waiting)
    while waiting:
        level, spot = heappop(waiting)
        for other in beside[spot]:
            if other not in filled:
                filled[other] = max(level, other[2])
                heappush(waiting, (filled[other], other))
    wet = {spot for spot, level in filled.items() if level > spot[2] + _SAME}
    found = []
    while wet:
        hollow = _together(wet.pop(), wet, beside)
        lowest = min(hollow, key=lambda spot: (spot[2], spot))
        found.append(LowPoint(lowest[:2], lowest[2], filled[lowest] - lowest[2]))
    return tuple(sorted(found, key=lambda one: (-one.depth, one.at)))


def _neighbors(surface: Surface) -> tuple[dict[Spot, set[Spot]], set[Spot]]:
    """Which spots an edge of a triangle joins, and those at the edge of the ground: on a side of one triangle only."""
    beside: dict[Spot, set[Spot]] = {}
    sides: dict[frozenset[Spot], int] = {}
    for triangle in surface.triangles:
        for one, other in combinations(triangle.corners, 2):
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
            sides[frozenset((one, other))] = sides.get(frozenset((one, other)), 0) + 1
    return beside, {spot for side, count in sides.items() if count == 1 for spot in side}


def _together(start: Spot, wet: set[Spot], beside: dict[Spot, set[Spot]]) -> set[Spot]:
    """All spots under water that hang together with one, taken out of `wet`."""
    found, waiting = {start}, [start]
    while waiting:
        for other in beside[waiting.pop()] & wet:
            wet.discard(other)
            found.add(other)
            waiting.append(other)
    return found


def surface_of(spots: Sequence[Spot]) -> Surface:
    """The surface of spot levels; those at one place count once, by their mean. Their order changes nothing."""
    return _surface(tuple(sorted((float(x), float(y), float(z)) for x, y, z in spots)))


@lru_cache(maxsize=64)
def _surface(spots: tuple[Spot, ...]) -> Surface:
    places = _apart(spots)
    if len(places) < FEWEST:
        return Surface(places, ())
    heights = {(x, y): z for x, y, z in places}
    drawn: Any = shapely.delaunay_triangles(shapely.multipoints([(x, y) for x, y, _ in places]))  # type: ignore[no-untyped-call]
    found = []
    for piece in drawn.geoms:
        (ax, ay), (bx, by), (cx, cy) = list(piece.exterior.coords)[:3]
        made = _triangle((ax, ay, heights[ax, ay]), (bx, by, heights[bx, by]), (cx, cy, heights[cx, cy]))
        if made is not None:
            found.append(made)
    return Surface(places, tuple(found))


def _apart(spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Spots with those at one place made one."""
    groups: list[list[Spot]] = []
    for spot in spots:
        near = next((g for g in groups if hypot(g[0][0] - spot[0], g[0][1] - spot[1]) < _SAME), None)
        if near is None:
            groups.append([spot])
        else:
            near.append(spot)
    return tuple((g[0][0], g[0][1], sum(z for _, _, z in g) / len(g)) for g in groups)


def _triangle(one: Spot, two: Spot, three: Spot) -> Triangle | None:
    (ux, uy, uz), (vx, vy, vz) = _way(one, two), _way(one, three)
    doubled = ux * vy - uy * vx
    if abs(doubled) <= _THIN * max(ux * ux + uy * uy, vx * vx + vy * vy):
        return None
    b = (uz * vy - vz * uy) / doubled
    c = (vz * ux - uz * vx) / doubled
    return Triangle((one, two, three), one[2] - b * one[0] - c * one[1], b, c)


def _way(start: Spot, end: Spot) -> Spot:
    return end[0] - start[0], end[1] - start[1], end[2] - start[2]


def _holds(triangle: Triangle, point: Point) -> bool:
    """Whether a point lies in a triangle or on its rim."""
    sides = []
    for number, (x, y, _) in enumerate(triangle.corners):
        ex, ey, _ = triangle.corners[(number + 1) % 3]
        long = hypot(ex - x, ey - y)
        sides.append(((ex - x) * (point[1] - y) - (ey - y) * (point[0] - x)) / long)
    return min(sides) >= -_ON or max(sides) <= _ON


def ground_fall(surface: Surface, outline: Outline) -> GroundFall | None:
    """How the ground falls within an outline: the plane that fits its triangles best, by area.

    None where the spots cover less than `COVERED` of it. Source: least squares, geometry.
    """
    pieces = list(_within(surface, outline))
    area = sum(piece.area for _, piece in pieces)
    whole = chords(outline).polygon.area
    if area < COVERED * whole:
        return None
    points = [(p, area_of, triangle) for triangle, piece in pieces for p, area_of in _shares(piece)]
    places = np.array([p for p, _, _ in points])
    levels = np.array([triangle.level(p) for p, _, triangle in points])
    plane, at = _fitted(places, levels, np.array([weight for _, weight, _ in points]))
    corners = [(p, triangle) for triangle, piece in pieces for p in piece.exterior.coords]
    off = max(abs(triangle.level(p) - _at(plane, at, p)) for p, triangle in corners)
    return _told(plane, at, off, min(area / whole, 1.0))


def plane_of(spots: Sequence[Spot]) -> GroundFall | None:
    """The plane that fits spots best, each of one weight; None for fewer than three or those in one line.

    >>> found = plane_of([(0, 0, 1.0), (10, 0, 0.8), (0, 10, 1.0), (10, 10, 0.8)])
    >>> round(found.fall, 6), found.bearing
    (0.02, 90.0)
    """
    places = np.array([(x, y) for x, y, _ in spots], dtype=float).reshape(-1, 2)
    if len(places) < FEWEST or np.linalg.matrix_rank(places - places.mean(axis=0), tol=_SAME) < 2:
        return None
    levels = np.array([z for _, _, z in spots], dtype=float)
    plane, at = _fitted(places, levels, np.ones(len(places)))
    return _told(plane, at, max(abs(z - _at(plane, at, (x, y))) for x, y, z in spots), 1.0)


def _told(plane: Spot, at: Point, off: float, covered: float) -> GroundFall:
    level, b, c = plane
    fall = hypot(b, c)
    if fall <= _ON:
        return GroundFall(level=level, at=at, fall=0.0, bearing=None, off=off, covered=covered)
    bearing = round(degrees(atan2(-b, -c)) % 360, 9) % 360
    return GroundFall(level=level, at=at, fall=fall, bearing=bearing, off=off, covered=covered)


def _at(plane: Spot, middle: Point, point: Point) -> float:
    return plane[0] + plane[1] * (point[0] - middle[0]) + plane[2] * (point[1] - middle[1])


def _fitted(
    places: NDArray[np.float64], levels: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[Spot, Point]:
    """The plane a + b·(x - x0) + c·(y - y0) that fits best, and its middle."""
    middle = np.average(places, axis=0, weights=weights)
    root = np.sqrt(weights)
    design = np.column_stack([np.ones(len(places)), places - middle]) * root[:, None]
    a, b, c = np.linalg.lstsq(design, levels * root, rcond=None)[0].tolist()
    return (a, b, c), (float(middle[0]), float(middle[1]))


def _within(surface: Surface, outline: Outline) -> Iterator[tuple[Triangle, Any]]:
    """The parts of each triangle that lie in an outline, as polygons."""
    polygon: Any = chords(outline).polygon
    for triangle in surface.triangles:
        cut: Any = polygon.intersection(shapely.polygons([(x, y) for x, y, _ in triangle.corners]))
        for piece in getattr(cut, "geoms", [cut]):
            if piece.geom_type == "Polygon" and piece.area > 0:
                yield triangle, piece


def _shares(piece: Any) -> Iterator[tuple[Point, float]]:
    """Points and weights that integrate squares of a plane over a polygon: the middles of the sides of triangles."""
    parts: Any = shapely.constrained_delaunay_triangles(piece)  # type: ignore[no-untyped-call]
    for part in parts.geoms:
        corners = list(part.exterior.coords)[:3]
        for number, (x, y) in enumerate(corners):
            ex, ey = corners[(number + 1) % 3]
            yield ((x + ex) / 2, (y + ey) / 2), part.area / 3


def cut_and_fill(surface: Surface, finish: Callable[[Point], float | None], outline: Outline) -> CutFill:
    """Earth between the ground and a finish within an outline [cu ft in place]; `finish` is level at a point, a plane.

    Where the finish is not known, nothing. Source: geometry (a plane's mean over a polygon is its level at the center).
    """
    cut = fill = covered = 0.0
    for triangle, piece in _within(surface, outline):
        depth = _depth(triangle, finish, piece)
        if depth is None:
            return CutFill(0.0, 0.0, 0.0)
        a, b, c = depth
        covered += piece.area
        for part, sign in ((_half(piece, (a, b, c)), 1), (_half(piece, (-a, -b, -c)), -1)):
            if not part.is_empty:
                volume = sign * (a + b * part.centroid.x + c * part.centroid.y) * part.area
                cut, fill = (cut + volume, fill) if sign > 0 else (cut, fill + volume)
    return CutFill(cut, fill, covered)


def _depth(
    triangle: Triangle, finish: Callable[[Point], float | None], piece: Any
) -> tuple[float, float, float] | None:
    """How far the ground lies above the finish, as a plane a + b·x + c·y."""
    x, y = piece.centroid.x, piece.centroid.y
    here, east, north = finish((x, y)), finish((x + 1, y)), finish((x, y + 1))
    if here is None or east is None or north is None:
        return None
    b, c = triangle.b - (east - here), triangle.c - (north - here)
    return triangle.level((x, y)) - here - b * x - c * y, b, c


def _half(piece: Any, plane: tuple[float, float, float]) -> Any:
    """The part of a polygon where a plane is above zero."""
    a, b, c = plane
    steep = hypot(b, c)
    if steep < _ON:
        return piece if a > 0 else Polygon()  # type: ignore[no-untyped-call]
    ux, uy = b / steep, c / steep
    x, y = piece.centroid.x, piece.centroid.y
    west, south, east, north = piece.bounds
    reach = 2 * (hypot(east - west, north - south) + 1)
    off = -(a + b * x + c * y) / steep  # how far the zero line lies from the center, along the way up
    off = max(-reach, min(reach, off))
    x, y = x + off * ux, y + off * uy
    box = [
        (x - reach * uy, y + reach * ux),
        (x + reach * uy, y - reach * ux),
        (x + reach * uy + 2 * reach * ux, y - reach * ux + 2 * reach * uy),
        (x - reach * uy + 2 * reach * ux, y + reach * ux + 2 * reach * uy),
    ]
    return piece.intersection(shapely.polygons(box))


def contours(surface: Surface, step: float) -> Iterator[tuple[float, tuple[Point, Point]]]:
    """Lines of one level every `step` [ft] across the triangles, lowest first: the level, and the two ends of a bit."""
    lowest = min((z for _, _, z in surface.spots), default=0.0)
    highest = max((z for _, _, z in surface.spots), default=0.0)
    count = int((highest - lowest) / step) + 2
    for number in range(min(count, 200)):
        level = (ceil(lowest / step - _ON) + number) * step
        for triangle in surface.triangles:
            ends = list(_crossed(triangle, level))
            if len(ends) == 2 and ends[0] != ends[1]:
                yield level, (ends[0], ends[1])


def _crossed(triangle: Triangle, level: float) -> Iterator[Point]:
    """Where the sides of a triangle cross a level; a side that starts at it counts, one that ends at it does not."""
    for number, (x, y, z) in enumerate(triangle.corners):
        ex, ey, ez = triangle.corners[(number + 1) % 3]
        if (z < level) != (ez < level):
            share = (level - z) / (ez - z)
            yield x + share * (ex - x), y + share * (ey - y)
