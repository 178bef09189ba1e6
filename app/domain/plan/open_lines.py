"""Open lines with true arcs: corner points and, for each stretch between two of them, how far it rises off its chord.

A rise is right of the way if positive, left if negative; 0 or missing is straight. That is all that is kept of a line;
centers, radii and lengths follow from it exactly.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import fsum, radians

import shapely

from app.domain.plan.arcs import LEAST_RISE, Arc, Line, Point, Segment, arc_through, through_of_rise
from app.domain.plan.outline import FINE, LEAST_EDGE, EdgeWithoutLength, Outline, chords
from app.domain.plan.pieces import distance, heading, rise_of, turn_between

CORNER = radians(10)  # a line that turns by less runs on
Points = tuple[Point, ...]
Rises = tuple[float, ...]


def piece_between(start: Point, end: Point, rise: float = 0.0) -> Segment:
    """The straight edge between two points, or the arc that rises `rise` [ft] right of the way above their chord.

    Raises: EdgeWithoutLength.

    >>> piece_between((0, 0), (8, 0), -2).radius
    5.0
    """
    if distance(start, end) < LEAST_EDGE:
        raise EdgeWithoutLength(f"The point {start[0]:g}, {start[1]:g} is there twice in a row. Take one out.")
    if abs(rise) < LEAST_RISE:
        return Line(start, end)
    return arc_through(start, through_of_rise(start, end, rise), end) or Line(start, end)


def pieces_of(points: Sequence[Point], rises: Sequence[float] = ()) -> tuple[Segment, ...]:
    """The edges and arcs of a line through its points [ft]; a point that is there twice in a row counts once.

    >>> [type(piece).__name__ for piece in pieces_of([(0, 0), (8, 0), (8, 5)], [2])]
    ['Arc', 'Line']
    """
    bent = [*rises, *[0.0] * (len(points) - 1 - len(rises))]
    stretches = zip(pairwise(points), bent, strict=False)
    return tuple(piece_between(a, b, rise) for (a, b), rise in stretches if distance(a, b) >= LEAST_EDGE)


def points_and_rises(pieces: Sequence[Segment]) -> tuple[Points, Rises]:
    """A line as it is kept: points, and rises where any stretch is an arc.

    >>> points_and_rises(pieces_of([(0, 0), (8, 0)], [2]))
    (((0, 0), (8, 0)), (2.0,))
    """
    points = (*[piece.start for piece in pieces], *[piece.end for piece in pieces[-1:]])
    rises = tuple(rise_of(piece) for piece in pieces)
    return points, rises if any(rises) else ()


def length_of(points: Sequence[Point], rises: Sequence[float] = ()) -> float:
    """Length [ft] along a line and its arcs, exact. Source: geometry.

    >>> from math import pi
    >>> length_of([(0, 0), (2, 0), (2, 5)], [1]) == pi + 5
    True
    """
    return fsum(piece.length for piece in pieces_of(points, rises))


def fine_points(points: Sequence[Point], rises: Sequence[float] = (), tolerance: float = FINE) -> list[Point]:
    """Points on a line whose chords stay within `tolerance` [ft] of it, for the geometry library and for drawings."""
    pieces = pieces_of(points, rises)
    return [*[point for piece in pieces for point in piece.points(tolerance)], *[piece.end for piece in pieces[-1:]]]


def length_within(points: Sequence[Point], rises: Sequence[float], outlines: Iterable[Outline]) -> float:
    """Length [ft] of a line that runs within outlines, told along its arcs; ground in several of them counts once.

    Where it enters and leaves is found on chords within 1/64 in.

    >>> from app.domain.plan.shapes import rectangle
    >>> length_within([(-5, 5), (20, 5)], (), [rectangle(10, 10)])
    10.0
    """
    ground = shapely.union_all([chords(outline).polygon for outline in outlines])
    found = []
    for piece in pieces_of(points, rises):
        drawn = shapely.linestrings([*piece.points(FINE), piece.end])
        share = float(drawn.intersection(ground).length / drawn.length)
        found.append(piece.length * share)
    return fsum(found)


def length_of_arcs(points: Sequence[Point], rises: Sequence[float] = ()) -> float:
    """The part of a line's length [ft] that runs on arcs."""
    return fsum(piece.length for piece in pieces_of(points, rises) if isinstance(piece, Arc))


def corners_of(points: Sequence[Point], rises: Sequence[float] = ()) -> int:
    """How many corners a line has: points at which it turns by more than 10°.

    >>> corners_of([(0, 0), (8, 0), (16, 1), (16, 9)])
    1
    """
    pieces = pieces_of(points, rises)
    turns = (turn_between(heading(one, 1), heading(other, 0)) for one, other in pairwise(pieces))
    return sum(abs(turn) > CORNER for turn in turns)
