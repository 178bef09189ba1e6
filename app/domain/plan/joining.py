"""Two outlines that touch, or nearly, joined to one: typed points stay, arcs keep their radii."""

from collections.abc import Iterator, Sequence

from app.domain.errors import BadValue
from app.domain.plan.arcs import Line, Point, Segment
from app.domain.plan.between import apart, from_point
from app.domain.plan.growing import TOUCHING
from app.domain.plan.outline import Outline, chords, rings_of
from app.domain.plan.pieces import SAME, away, distance, point_at, share_of
from app.domain.plan.tracing import Places, outlines_of, parts_between, run_together, split_where_they_meet, traced
from app.domain.units import format_length


class DoNotTouch(BadValue):
    """Two outlines that have no edge in common."""


def join(one: Outline, other: Outline, *, gap: float = TOUCHING) -> Outline:
    """Two outlines as one, where they overlap or run along each other no further apart than `gap` [ft].

    A gap between them is filled with straight edges across its ends; no point of either moves. Points that are left
    on a straight edge or on one arc where the two met are taken out.
    Raises: DoNotTouch.

    >>> from app.domain.plan.shapes import rectangle
    >>> join(rectangle(20, 12), rectangle(5, 12, at=(20, 0))).wkt
    'POLYGON ((0 0, 25 0, 25 12, 0 12, 0 0))'
    """
    space = apart(one, other)
    if space > gap + SAME:
        raise DoNotTouch(
            f"The two outlines lie {format_length(space)} apart. Move one against the other, "
            f"to within {format_length(gap)}, then join them."
        )
    found = _joined(one, other, SAME) or _joined(one, other, gap)
    if not found:
        raise DoNotTouch("The two outlines meet at a point only, not along an edge. Move one along the other first.")
    return found


def _joined(one: Outline, other: Outline, gap: float) -> Outline | None:
    """One outline of both; None where they do not meet along an edge within the gap."""
    deep = chords(one).polygon.intersection(chords(other).polygon).buffer(-gap / 2 - SAME)
    pieces, seams = _overlapping(one, other) if not deep.is_empty else _meeting(one, other, gap)
    rings = [run_together(ring, seams) for ring in traced(pieces)]
    found = outlines_of(rings, {piece.start for piece in (*_edges(one), *_edges(other))})
    return found[0] if len(found) == 1 else None


def _edges(outline: Outline) -> list[Segment]:
    return [piece for ring in rings_of(outline) for piece in ring]


def _overlapping(one: Outline, other: Outline) -> tuple[list[Segment], set[Point]]:
    """The edges of two outlines that lie outside the other one, and the points where they cross."""
    own, their, places = _edges(one), _edges(other), Places()
    mine = split_where_they_meet(own, their, places)
    yours = split_where_they_meet(their, own, places)
    kept = [piece for piece in mine if _lies_outside(piece, other, their)]
    kept += [piece for piece in yours if _lies_outside(piece, one, own)]
    kept += [piece for piece in mine if _runs_with(piece, yours)]
    ends = {piece.start for piece in mine} & {piece.start for piece in yours}
    return kept, ends


def _lies_outside(piece: Segment, outline: Outline, edges: Sequence[Segment]) -> bool:
    middle = point_at(piece, 0.5)
    return from_point(outline, middle) > 0 and min(away(edge, middle) for edge in edges) > SAME


def _runs_with(piece: Segment, others: Sequence[Segment]) -> bool:
    """Whether an edge of the other outline is the same one, with the ground at the same side."""
    middle = point_at(piece, 0.5)
    return any(
        (piece.start, piece.end) == (one.start, one.end) and distance(middle, point_at(one, 0.5)) < SAME
        for one in others
    )


def _meeting(one: Outline, other: Outline, gap: float) -> tuple[list[Segment], set[Point]]:
    """The edges of two outlines that do not face each other, the short edges across the gap, the points between."""
    own, their, places = _edges(one), _edges(other), Places()
    for piece in (*own, *their):
        places.one(piece.start)
    across = [*_across(own, their, gap, places), *_across(their, own, gap, places)]
    ends = {point for pair in across for point in pair}
    kept = [*_not_facing(own, their, ends, gap, places), *_not_facing(their, own, ends, gap, places)]
    bridges = {frozenset(pair): Line(*pair) for pair in across if pair[0] != pair[1]}.values()
    return [*kept, *bridges, *[bridge.backward() for bridge in bridges]], ends


def _across(
    own: Sequence[Segment], their: Sequence[Segment], gap: float, places: Places
) -> Iterator[tuple[Point, Point]]:
    """From each corner that lies within the gap of the other outline, to the nearest point there."""
    for piece in own:
        nearest = min(their, key=lambda edge: away(edge, piece.start))
        if away(nearest, piece.start) <= gap + SAME:
            foot = point_at(nearest, share_of(nearest, piece.start))
            yield places.one(piece.start), places.one(foot)


def _not_facing(
    own: Sequence[Segment], their: Sequence[Segment], ends: set[Point], gap: float, places: Places
) -> Iterator[Segment]:
    for piece in own:
        at = [point for point in ends if away(piece, point) <= SAME]
        for part in parts_between(piece, at, places):
            looked = [point_at(part, share) for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
            if any(min(away(edge, point) for edge in their) > gap + SAME for point in looked):
                yield part
