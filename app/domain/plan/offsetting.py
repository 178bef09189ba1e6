"""Outlines grown or shrunk by a width, and beds and borders along a line: arcs stay arcs about the same centers.

Corners are built as a crew would: edges run on until they meet (`miter`), or turn about the corner (`round`). Every
edge and arc is set off, split where the set-off pieces meet, and kept where no other edge comes nearer than the width.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import atan2, cos, sin, tan, tau

from app.domain.errors import BadValue
from app.domain.plan.arcs import Line, Point, Ring, Segment, arc_through, ring_area
from app.domain.plan.between import from_point
from app.domain.plan.outline import Outline, outline_of_rings, rings_of
from app.domain.plan.pieces import SAME, away, crossings, distance, heading, point_at, turn_between
from app.domain.plan.tracing import Places, outlines_of, run_together, split_where_they_meet, traced
from app.domain.units import format_length

MITER, ROUND = "miter", "round"
CORNERS = (MITER, ROUND)
LEAST_WIDTH, MOST_WIDTH = 1 / 8 / 12, 100.0  # ft
SHARPEST = 4.0  # a corner runs on to this many widths; a sharper one is cut square at one width


class NothingLeft(BadValue):
    """The width eats the outline, or parts it."""


def offset(outline: Outline, width: float, *, corners: str = MITER) -> Outline:
    """The outline grown outward by `width` [ft, 1/8 in to 100 ft], or shrunk inward where it is negative.

    Holes shrink as the outline grows. Typed rectangles and circles stay such.
    Raises: BadValue for a width out of range; NothingLeft where nothing is left, or more than one part.

    >>> from app.domain.plan.shapes import rectangle
    >>> offset(rectangle(20, 12), 1).wkt
    'POLYGON ((-1 -1, 21 -1, 21 13, -1 13, -1 -1))'
    """
    parts = offset_parts(outline, width, corners=corners)
    if len(parts) != 1:
        raise NothingLeft(_parted(width, len(parts)))
    return parts[0]


def offset_parts(outline: Outline, width: float, *, corners: str = MITER) -> tuple[Outline, ...]:
    """What `offset` gives where an inward width may part the outline: all the parts that are left, the largest first.

    Raises: BadValue for a width out of range; NothingLeft where nothing is left.

    >>> from app.domain.plan.shapes import parse_points
    >>> waist = parse_points("0,0 / 10,0 / 10,4 / 20,4 / 20,0 / 30,0 / 30,10 / 20,10 / 20,6 / 10,6 / 10,10 / 0,10")
    >>> [part.wkt for part in offset_parts(waist, -2)]
    ['POLYGON ((2 2, 8 2, 8 8, 2 8, 2 2))', 'POLYGON ((22 2, 28 2, 28 8, 22 8, 22 2))']
    """
    _in_range(abs(width), corners)
    edges = [piece for ring in rings_of(outline) for piece in ring]
    raw = [piece for ring in rings_of(outline) for piece in _set_off(ring, width, corners, closed=True)]
    kept = [piece for piece in _apart(raw, edges, abs(width)) if _on_side(outline, piece, width)]
    parts = outlines_of(run_together(ring, (piece.start for piece in ring)) for ring in traced(kept))
    if not parts:
        said = format_length(abs(width))
        raise NothingLeft(f"Nothing is left of the outline when it is set off inward by {said}. Take a smaller width.")
    return (_as_typed(outline, parts[0], width, corners),) if len(parts) == 1 else tuple(parts)


def band(outline: Outline, width: float, *, corners: str = MITER) -> Outline:
    """The ring of ground between an outline and itself set off by `width` [ft]: inside where it is negative.

    Where an inward width parts what is left, the ground has an opening for each part.
    Raises: as `offset_parts`; BadValue for an outline with holes.

    >>> from app.domain.plan.measures import area
    >>> from app.domain.plan.shapes import rectangle
    >>> area(band(rectangle(20, 12), -1))
    60.0
    """
    if len(rings_of(outline)) > 1:
        raise BadValue("A border around an outline with an opening in it: take the outer edge first, then the opening.")
    others = offset_parts(outline, width, corners=corners)
    outer, inner = (others[0], (outline,)) if width > 0 else (outline, others)
    holes = [tuple(piece.backward() for piece in reversed(rings_of(one)[0])) for one in inner]
    ring, *closed_in = rings_of(outer)  # grown outward, arms may close in ground that is none of the border
    return outline_of_rings([ring, *holes, *closed_in])


def alongside(line: Sequence[Segment], width: float, *, corners: str = MITER) -> tuple[Segment, ...]:
    """A line set off to its right by `width` [ft], to its left where it is negative; ends are cut square.

    Raises: BadValue for a width out of range; NothingLeft where the line bends tighter than the width.

    >>> alongside([Line((0, 0), (10, 0))], 2)
    (Line(start=(0.0, -2.0), end=(10.0, -2.0)),)
    """
    _in_range(abs(width), corners)
    kept = _apart(list(_set_off(line, width, corners, closed=False)), line, abs(width))
    if not kept or any(distance(one.end, other.start) > SAME for one, other in pairwise(kept)):
        raise NothingLeft(
            f"The line bends tighter than {format_length(abs(width))}, so nothing of that width fits along it. "
            "Take a smaller width or the other side."
        )
    return tuple(kept)


def bed(line: Sequence[Segment], width: float, *, corners: str = MITER) -> Outline:
    """A bed of `width` [ft] along a line, at its right; at its left where the width is negative. Ends are square.

    Raises: as `alongside`; OutlineCrossesItself where the line comes back to itself within the width.

    >>> bed([Line((0, 0), (10, 0))], -4).wkt
    'POLYGON ((0 0, 10 0, 10 4, 0 4, 0 0))'
    """
    other = alongside(line, width, corners=corners)
    back = [piece.backward() for piece in reversed(other)]
    ring = [*line, Line(line[-1].end, back[0].start), *back, Line(back[-1].end, line[0].start)]
    walked = tuple(ring) if ring_area(tuple(ring)) > 0 else tuple(piece.backward() for piece in reversed(ring))
    return outline_of_rings([walked])


def _in_range(width: float, corners: str) -> None:
    if not LEAST_WIDTH <= width <= MOST_WIDTH:
        raise BadValue(f"A width of {width:g} ft cannot be set off. Type 1/8 in to {MOST_WIDTH:.0f} ft.", field="width")
    if corners not in CORNERS:
        raise BadValue("Corners are either square or rounded. Choose one of the two.", field="corners")


def _parted(width: float, parts: int) -> str:
    said = format_length(abs(width))
    return f"Set off by {said}, the outline would fall into {parts} parts. Split it first, or take a smaller width."


def _on_side(outline: Outline, piece: Segment, width: float) -> bool:
    return (from_point(outline, point_at(piece, 0.5)) > 0) == (width > 0)


def _apart(raw: list[Segment], edges: Sequence[Segment], width: float) -> list[Segment]:
    """The set-off pieces, split where they meet, without what comes nearer to an edge than the width."""
    parts = split_where_they_meet(raw, raw, Places())
    return [
        part
        for part in parts
        if part.length > 2 * SAME and all(away(edge, point_at(part, 0.5)) > width - SAME for edge in edges)
    ]


def _set_off(pieces: Sequence[Segment], width: float, corners: str, *, closed: bool) -> Iterator[Segment]:
    """Each piece moved to its right by `width`, with what fills the corners that open; others overlap."""
    moved = [_moved(piece, width) for piece in pieces]
    count = len(pieces)
    starts: dict[int, Point] = {}
    ends: dict[int, Point] = {}
    fills: dict[int, list[Segment]] = {}
    for place in range(count if closed else count - 1):
        after = (place + 1) % count
        if turn_between(heading(pieces[place], 1), heading(pieces[after], 0)) * width > SAME:
            met = _met(pieces[place], moved[place], moved[after], width) if corners == MITER else None
            if met is not None:
                ends[place] = starts[after] = met
            else:
                fills[place] = list(_fill(pieces[place], pieces[after], width, corners))
    for place, piece in enumerate(moved):
        if piece is not None:
            yield _stretched(piece, starts.get(place, piece.start), ends.get(place, piece.end))
        yield from fills.get(place, ())


def _met(before: Segment, one: Segment | None, other: Segment | None, width: float) -> Point | None:
    """Where two set-off edges run on until they meet; None where they do not, or far from their corner only."""
    places = crossings(one, other) if one is not None and other is not None else ()
    near = min(places, key=lambda place: distance(before.end, place), default=None)
    return near if near is not None and distance(before.end, near) < SHARPEST * abs(width) else None


def _stretched(piece: Segment, start: Point, end: Point) -> Segment:
    """A piece that begins or ends elsewhere on its own line or circle."""
    if (start, end) == (piece.start, piece.end):
        return piece
    if isinstance(piece, Line):
        return Line(start, end)
    (x, y), way = piece.center, 1 if piece.sweep > 0 else -1
    first, last = (atan2(point[1] - y, point[0] - x) for point in (start, end))
    half = first + way * (((last - first) * way) % tau) / 2
    middle = x + piece.radius * cos(half), y + piece.radius * sin(half)
    return arc_through(start, middle, end) or Line(start, end)


def _fill(one: Segment, other: Segment, width: float, corners: str) -> Iterator[Segment]:
    """What fills a corner whose edges do not meet: an arc about it, or straight edges on along both, cut square."""
    start, end = _beside(one, 1, width), _beside(other, 0, width)
    (ux, uy), (vx, vy) = heading(one, 1), heading(other, 0)
    half = turn_between((ux, uy), (vx, vy)) / 2
    x, y = ux * cos(half) - uy * sin(half), ux * sin(half) + uy * cos(half)  # along the middle of the turn
    out = one.end[0] + width * y, one.end[1] - width * x
    if corners == ROUND:
        yield arc_through(start, out, end) or Line(start, end)
        return
    on = abs(width) * tan(abs(half) / 2)
    walked = [start, (start[0] + on * ux, start[1] + on * uy), (end[0] - on * vx, end[1] - on * vy), end]
    yield from (Line(a, b) for a, b in pairwise(walked) if distance(a, b) > SAME)


def _beside(piece: Segment, share: float, width: float) -> Point:
    """The point beside a piece at a share of its way, `width` to its right."""
    (x, y), (ux, uy) = point_at(piece, share), heading(piece, share)
    return x + width * uy, y - width * ux


def _moved(piece: Segment, width: float) -> Segment | None:
    """A piece set off to its right; None where an arc has no radius left."""
    start, end = _beside(piece, 0, width), _beside(piece, 1, width)
    if isinstance(piece, Line):
        return Line(start, end)
    if piece.radius + (width if piece.sweep > 0 else -width) <= 2 * SAME:
        return None
    return arc_through(start, _beside(piece, 0.5, width), end)


def _as_typed(outline: Outline, found: Outline, width: float, corners: str) -> Outline:
    """The outline found, told as the shape it was typed as where it still is one."""
    rings: Sequence[Ring] = rings_of(found)
    typed = outline.shape == "circle" or (outline.shape == "rectangle" and corners == MITER)
    if not typed or len(rings) != 1:
        return found
    by = width if outline.shape == "circle" else 2 * width
    return Outline(found.wkt, outline.shape, tuple(size + by for size in outline.sizes))
