"""A corner between two edges, straight or arcs, rounded by an arc that runs on from both."""

from collections.abc import Iterator
from math import hypot

from app.domain.plan.arcs import Arc, Line, Point, Segment, arc_through
from app.domain.plan.outline import LEAST_EDGE
from app.domain.plan.pieces import SAME, away, crossings, distance, heading, part_of, share_of, turn_between

SMOOTH = 1e-4  # rad: two directions nearer than this are one


def rounded(before: Segment, after: Segment, radius: float) -> tuple[Segment, ...] | None:
    """What is left of two edges that meet at a corner, with an arc of `radius` [ft] between them that touches both.

    None where no arc of that radius touches both between their far ends. Of several the one nearest to the corner.
    Its center lies at the radius from both, on the side to which the way turns. Source: geometry.

    >>> before, after = Line((0, 0), (5, 0)), Line((5, 0), (5, 5))
    >>> [(round(x, 9), round(y, 9)) for x, y in (piece.end for piece in rounded(before, after, 2))]
    [(3.0, 0.0), (5.0, 2.0), (5, 5)]
    """
    arcs = sorted(_touching(before, after, radius), key=lambda one: distance(one.at(0.5), after.start))
    if not arcs:
        return None
    arc = arcs[0]
    start = before.start if distance(before.start, arc.start) < LEAST_EDGE else arc.start
    end = after.end if distance(after.end, arc.end) < LEAST_EDGE else arc.end
    around: Segment = arc_through(start, arc.at(0.5), end) or Line(start, end)
    first = [part_of(before, 0, share_of(before, start), before.start, start)] if start != before.start else []
    last = [part_of(after, share_of(after, end), 1, end, after.end)] if end != after.end else []
    return (*first, around, *last)


def _touching(before: Segment, after: Segment, radius: float) -> Iterator[Arc]:
    side = radius if turn_between(heading(before, 1), heading(after, 0)) > 0 else -radius
    aside = [_aside(before, side), _aside(after, side)]
    if aside[0] is None or aside[1] is None:
        return
    for center in crossings(aside[0], aside[1]):
        start, end = _foot(before, center), _foot(after, center)
        arc = arc_through(start, _between(center, start, end, radius), end)
        on_both = away(before, start) <= SAME and away(after, end) <= SAME
        if on_both and arc is not None and _runs_on(before, arc, after):
            yield arc


def _aside(piece: Segment, by: float) -> Segment | None:
    """The whole line or circle of a piece, set to the left of its way by so much [ft]; None where none is left."""
    if isinstance(piece, Line):
        ux, uy = heading(piece, 0)
        x, y = -uy * by, ux * by
        return Line((piece.start[0] + x, piece.start[1] + y), (piece.end[0] + x, piece.end[1] + y))
    share = 1 - (by if piece.sweep > 0 else -by) / piece.radius
    if share * piece.radius <= SAME:
        return None
    (cx, cy), points = piece.center, (piece.start, piece.at(0.5), piece.end)
    start, through, end = ((cx + (x - cx) * share, cy + (y - cy) * share) for x, y in points)
    return arc_through(start, through, end)


def _foot(piece: Segment, center: Point) -> Point:
    """Where a circle about a center touches the whole line or circle of a piece."""
    if isinstance(piece, Line):
        ux, uy = heading(piece, 0)
        along = (center[0] - piece.start[0]) * ux + (center[1] - piece.start[1]) * uy
        return piece.start[0] + along * ux, piece.start[1] + along * uy
    far = distance(piece.center, center) or 1.0
    (cx, cy), (x, y) = piece.center, center
    return cx + (x - cx) * piece.radius / far, cy + (y - cy) * piece.radius / far


def _between(center: Point, start: Point, end: Point, radius: float) -> Point:
    """The middle of the smaller arc about a center from one point to another."""
    x, y = start[0] + end[0] - 2 * center[0], start[1] + end[1] - 2 * center[1]
    size = hypot(x, y) or 1.0
    return center[0] + x * radius / size, center[1] + y * radius / size


def _runs_on(before: Segment, arc: Arc, after: Segment) -> bool:
    first = turn_between(heading(before, share_of(before, arc.start)), heading(arc, 0))
    last = turn_between(heading(arc, 1), heading(after, share_of(after, arc.end)))
    return max(abs(first), abs(last)) < SMOOTH
