"""What an outline measures, by closed formulas, and the same outline moved or turned."""

from collections.abc import Callable
from functools import lru_cache
from math import cos, fsum, radians, sin

from app.domain.plan.arcs import Arc, Line, Point, Ring, ring_area, ring_moment
from app.domain.plan.outline import Outline, outline_of_rings, rings_of, segments
from app.domain.plan.wkt import read_rings


def area(outline: Outline) -> float:
    """Area [sq ft], holes taken out, exact for straight edges and arcs. Source: geometry.

    >>> area(Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"))
    240.0
    """
    return _area(outline.wkt)


def perimeter(outline: Outline) -> float:
    """Length of all edges [ft], those of holes too, exact. Source: geometry.

    >>> perimeter(Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"))
    64.0
    """
    return _perimeter(outline.wkt)


@lru_cache(maxsize=4096)
def _perimeter(wkt: str) -> float:
    return fsum(piece.length for piece in segments(Outline(wkt)))


def centroid(outline: Outline) -> Point:
    """Center of area [ft, ft], exact. It can lie outside an L or a ring. Source: geometry.

    >>> centroid(Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))"))
    (10.0, 6.0)
    """
    rings = rings_of(outline)
    x = y = 0.0
    for ring in rings:
        own, (mx, my) = ring_area(ring), ring_moment(ring)
        x += mx + own * ring[0].start[0]
        y += my + own * ring[0].start[1]
    return x / area(outline), y / area(outline)


def bounds(outline: Outline) -> tuple[float, float, float, float]:
    """West, south, east, north [ft], arcs included exactly. Source: geometry."""
    return _bounds(outline.wkt)


@lru_cache(maxsize=4096)
def _bounds(wkt: str) -> tuple[float, float, float, float]:
    points = [point for piece in segments(Outline(wkt)) for point in piece.extremes()]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def is_convex(outline: Outline) -> bool:
    """Whether no edge, arc or corner turns inward: what a string around the outline would touch everywhere."""
    rings = rings_of(outline)
    return len(rings) == 1 and not any(_turns_inward(rings[0], place) for place in range(len(rings[0])))


def moved(outline: Outline, east: float, north: float) -> Outline:
    """The outline moved [ft]; how it was typed is kept."""
    return placed_by(outline, lambda point: (point[0] + east, point[1] + north))


def turned(outline: Outline, degrees: float, about: Point = (0.0, 0.0)) -> Outline:
    """The outline turned counterclockwise [degrees] about a point; quarter turns are exact."""
    turn = turning(degrees, about)
    return placed_by(outline, turn)


def turning(degrees: float, about: Point) -> Callable[[Point], Point]:
    """The function that turns a point counterclockwise [degrees] about another; quarter turns are exact."""
    quarters = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    along, across = quarters.get(degrees % 360, (cos(radians(degrees)), sin(radians(degrees))))

    def turn(point: Point) -> Point:
        x, y = point[0] - about[0], point[1] - about[1]
        return about[0] + x * along - y * across, about[1] + x * across + y * along

    return turn


def svg_path(outline: Outline, *, flip: bool = False) -> str:
    """The outline as an SVG path in feet, arcs as arcs. `flip` writes y downward, as the page runs.

    >>> svg_path(Outline("POLYGON ((0 0, 20 0, 20 12, 0 0))"))
    'M0 0L20 0L20 12L0 0Z'
    """
    return "".join(_ring_path(ring, -1 if flip else 1) for ring in rings_of(outline))


def _ring_path(ring: Ring, up: int) -> str:
    parts = [f"M{_xy(ring[0].start, up)}"]
    for piece in ring:
        if isinstance(piece, Line):
            parts.append(f"L{_xy(piece.end, up)}")
        else:
            large, sweep = int(abs(piece.sweep) > 3.141592653589793), int(piece.sweep * up > 0)
            size = _decimals(piece.radius)
            parts.append(f"A{size} {size} 0 {large} {sweep} {_xy(piece.end, up)}")
    return "".join(parts) + "Z"


def _xy(point: Point, up: int) -> str:
    return f"{_decimals(point[0])} {_decimals(point[1] * up)}"


def _decimals(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@lru_cache(maxsize=4096)
def _area(wkt: str) -> float:
    return fsum(ring_area(ring) for ring in rings_of(Outline(wkt)))


def _turns_inward(ring: Ring, place: int) -> bool:
    here, before = ring[place], ring[place - 1]
    if isinstance(here, Arc) and here.sweep < 0:
        return True
    (ax, ay), (bx, by) = _heading(before, at_end=True), _heading(here, at_end=False)
    return ax * by - ay * bx < -1e-9


def _heading(piece: Line | Arc, *, at_end: bool) -> Point:
    if isinstance(piece, Line):
        return (piece.end[0] - piece.start[0]) / piece.length, (piece.end[1] - piece.start[1]) / piece.length
    angle = piece.from_angle + (piece.sweep if at_end else 0)
    way = 1 if piece.sweep > 0 else -1
    return -way * sin(angle), way * cos(angle)


def placed_by(outline: Outline, place: Callable[[Point], Point]) -> Outline:
    """The outline with every point where a rigid placing (moving, turning, mirroring) puts it."""
    rings = tuple(tuple(_piece(piece, place) for piece in ring) for ring in read_rings(outline.wkt))
    return outline_of_rings(rings, outline.shape, outline.sizes)


def _piece(piece: Line | Arc, place: Callable[[Point], Point]) -> Line | Arc:
    if isinstance(piece, Line):
        return Line(place(piece.start), place(piece.end))
    # only the three points are written; center and angles are found again when they are read
    return Arc(place(piece.start), place(piece.through), place(piece.end), (0.0, 0.0), 0.0, 0.0, 0.0)
