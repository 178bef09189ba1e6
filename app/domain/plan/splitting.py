"""An outline split by a line: the parts keep every point, and each arc its center and radius."""

from collections.abc import Sequence

from app.domain.errors import BadValue
from app.domain.plan.arcs import Line, Point, Ring, Segment
from app.domain.plan.between import from_point
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline, rings_of
from app.domain.plan.pieces import SAME, away, distance, heading, meetings, point_at
from app.domain.plan.tracing import Places, outlines_of, split_where_they_meet, traced

MOST_PARTS = 12


class DoesNotCut(BadValue):
    """The line does not part the outline."""


def split(outline: Outline, line: Sequence[Segment]) -> tuple[Outline, ...]:
    """The parts into which a line of edges and arcs cuts an outline, the largest first.

    An end of the line that stops inside the outline runs straight on to its edge.
    Raises: DoesNotCut, where the line leaves the outline whole; BadValue, where it makes more than 12 parts.

    >>> from app.domain.plan.shapes import rectangle
    >>> [part.wkt for part in split(rectangle(20, 12), [Line((8, -1), (8, 13))])]
    ['POLYGON ((8 0, 20 0, 20 12, 8 12, 8 0))', 'POLYGON ((0 0, 8 0, 8 12, 0 12, 0 0))']
    """
    edges = [piece for ring in rings_of(outline) for piece in ring]
    cut = _carried_on(outline, edges, line)
    places = Places()
    for edge in edges:
        places.one(edge.start)  # the outline's own points stand for those of the cut
    inner = [piece for piece in split_where_they_meet(cut, [*edges, *cut], places) if _is_inside(outline, edges, piece)]
    around = split_where_they_meet(edges, inner, places)
    parts = outlines_of(_rings(around, inner), {edge.start for edge in edges})
    if len(parts) < 2:
        raise DoesNotCut(
            "The line does not cut the outline in two. Draw it from one edge to another, across the ground between."
        )
    if len(parts) > MOST_PARTS:
        raise BadValue(f"The line cuts the outline into {len(parts)} parts; {MOST_PARTS} fit. Draw a simpler line.")
    return tuple(parts)


def _rings(around: Sequence[Segment], inner: Sequence[Segment]) -> list[Ring]:
    """The rings of edges and of cuts walked both ways; a cut with one ring on both sides parts nothing."""
    while True:
        both = [(piece, piece.backward()) for piece in inner]
        rings = traced([*around, *(one for pair in both for one in pair)])
        ring_of = {id(piece): number for number, ring in enumerate(rings) for piece in ring}
        kept = [one for one, other in both if ring_of.get(id(one)) != ring_of.get(id(other))]
        if len(kept) == len(inner):
            return rings
        inner = kept


def _is_inside(outline: Outline, edges: Sequence[Segment], piece: Segment) -> bool:
    """Whether a piece that crosses no edge runs inside the outline, and not along an edge."""
    middle = point_at(piece, 0.5)
    if piece.length < 4 * SAME or min(away(edge, middle) for edge in edges) < 2 * SAME:
        return False
    return from_point(outline, middle) == 0.0


def _carried_on(outline: Outline, edges: Sequence[Segment], line: Sequence[Segment]) -> list[Segment]:
    """The line, its ends carried straight on to the edge where they stop inside."""
    if not line:
        raise DoesNotCut("A line has two points at least. Give where it starts and where it ends.")
    first, last = _onward(outline, edges, line[0].backward()), _onward(outline, edges, line[-1])
    return [*([first.backward()] if first else []), *line, *([last] if last else [])]


def _onward(outline: Outline, edges: Sequence[Segment], piece: Segment) -> Line | None:
    """From a piece's end straight on to the nearest edge; None where it ends on an edge or outside."""
    here: Point = piece.end
    if min(away(edge, here) for edge in edges) <= SAME or from_point(outline, here) > 0:
        return None
    west, south, east, north = bounds(outline)
    (x, y), reach = heading(piece, 1), east - west + north - south + 1
    ray = Line(here, (here[0] + reach * x, here[1] + reach * y))
    hits = [point for edge in edges for point in meetings(ray, edge)]
    return Line(here, min(hits, key=lambda point: distance(here, point))) if hits else None
