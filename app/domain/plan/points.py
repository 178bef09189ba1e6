"""One point of a line or outline put in, taken out or moved, one edge bent or straightened, one corner rounded.

A line is told as its pieces in order; a closed one is a ring, whose last piece ends where the first begins. Pieces that
an operation does not name stay exactly as they are; an arc at a point that moves keeps its rise.
"""

from math import cos, hypot, pi, radians, sin, tan

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, Point, Segment, arc_through
from app.domain.plan.open_lines import piece_between
from app.domain.plan.outline import LEAST_EDGE
from app.domain.plan.pieces import (
    distance,
    heading,
    part_of,
    point_at,
    radius_of_rise,
    rise_of,
    rise_of_radius,
    share_of,
    turn_between,
)
from app.domain.plan.rounding import rounded
from app.domain.plan.walks import Walk
from app.domain.units import format_length


def move_point(walk: Walk, place: int, to: Point) -> Walk:
    """Point number `place` (from 0) moved; the arcs beside it keep their rise.

    Raises: BadValue for a point there is not; EdgeWithoutLength where it meets the next one.

    >>> move_point(Walk((Line((0, 0), (5, 0)), Line((5, 0), (5, 5))), closed=False), 1, (6, 0)).points
    ((0, 0), (6, 0), (5, 5))
    """
    return _with_points(walk, {_known(walk, place): to})


def insert_point(walk: Walk, edge: int, at: Point | None = None) -> Walk:
    """A point put into edge number `edge`: at the place of it nearest to `at`, or halfway. The shape stays as it is.

    Raises: BadValue for an edge there is not, or a place that is one of its ends.

    >>> insert_point(Walk((Line((0, 0), (5, 0)),), closed=False), 0).points
    ((0, 0), (2.5, 0.0), (5, 0))
    """
    piece = walk.pieces[_edge(walk, edge)]
    share = share_of(piece, at) if at is not None else 0.5
    here = point_at(piece, share)
    if min(distance(here, piece.start), distance(here, piece.end)) < LEAST_EDGE:
        raise BadValue("There is a point at the end of this edge already. Put the new one between its ends.")
    parts = part_of(piece, 0, share, piece.start, here), part_of(piece, share, 1, here, piece.end)
    return Walk((*walk.pieces[:edge], *parts, *walk.pieces[edge + 1 :]), walk.closed)


def remove_point(walk: Walk, place: int) -> Walk:
    """Point number `place` taken out; a straight edge leads past it (an arc where both edges there were one arc).

    Raises: BadValue where too few points would be left.

    >>> remove_point(Walk((Line((0, 0), (5, 0)), Line((5, 0), (5, 5))), closed=False), 1).points
    ((0, 0), (5, 5))
    """
    place, count, pieces = _known(walk, place), len(walk.pieces), walk.pieces
    if count - 1 < (2 if walk.closed else 1):
        raise BadValue("No point can be taken out here: what is left would be no line or outline.")
    if not walk.closed and place == 0:
        return Walk(pieces[1:], closed=False)
    if not walk.closed and place == count:
        return Walk(pieces[:-1], closed=False)
    before, after = pieces[place - 1], pieces[place]
    past = _past(before, after)
    if place == 0:
        return Walk((*pieces[1:-1], past), closed=True)
    return Walk((*pieces[: place - 1], past, *pieces[place + 1 :]), walk.closed)


def _past(before: Segment, after: Segment) -> Segment:
    same = isinstance(before, Arc) and isinstance(after, Arc) and distance(before.center, after.center) < LEAST_EDGE
    if same and abs(turn_between(heading(before, 1), heading(after, 0))) < LEAST_EDGE:
        arc = arc_through(before.start, before.end, after.end)
        if arc is not None:
            return arc
    return piece_between(before.start, after.end)


def bend(walk: Walk, edge: int, rise: float) -> Walk:
    """Edge number `edge` bent to an arc that rises `rise` [ft] right of its way above the chord; 0 straightens it.

    Raises: BadValue for an edge there is not.
    """
    piece = walk.pieces[_edge(walk, edge)]
    bent = piece_between(piece.start, piece.end, rise)
    return Walk((*walk.pieces[:edge], bent, *walk.pieces[edge + 1 :]), walk.closed)


def bend_to_radius(walk: Walk, edge: int, radius: float) -> Walk:
    """Edge number `edge` bent to the smaller arc of a radius [ft], right of its way; to its left where negative.

    Raises: BadValue where the radius is less than half the distance between the ends: there is no such arc.

    >>> rise_of(bend_to_radius(Walk((Line((0, 0), (8, 0)),), closed=False), 0, 5).pieces[0])
    2.0
    """
    piece = walk.pieces[_edge(walk, edge)]
    chord = distance(piece.start, piece.end)
    if abs(radius) < chord / 2 - LEAST_EDGE:
        raise BadValue(
            f"An arc of {format_length(abs(radius))} radius does not reach from one end to the other: they lie "
            f"{format_length(chord)} apart. Type {format_length(chord / 2)} or more.",
            field="radius",
        )
    rise = rise_of_radius(chord, abs(radius))
    return bend(walk, edge, rise if radius > 0 else -rise)


def bend_tangent(walk: Walk, edge: int, *, to_next: bool = False) -> Walk:
    """Edge number `edge` bent so that it runs on from the edge before without a corner; `to_next`: into the next one.

    Raises: BadValue where there is no such edge beside it, or it leads straight back.
    """
    edge, count = _edge(walk, edge), len(walk.pieces)
    beside = edge + 1 if to_next else edge - 1
    if not walk.closed and not 0 <= beside < count:
        raise BadValue("There is no edge beside this one for the arc to run on from.")
    piece, other = walk.pieces[edge], walk.pieces[beside % count]
    chord = heading(Line(piece.start, piece.end), 0)
    turn = turn_between(chord, heading(other, 0)) if to_next else turn_between(heading(other, 1), chord)
    if abs(turn) > pi - 0.02:
        raise BadValue("The edge leads straight back along the one beside it: no arc runs on from there.")
    rise = distance(piece.start, piece.end) / 2 * tan(turn / 2)
    return bend(walk, edge, rise)


def round_corner(walk: Walk, place: int, radius: float) -> Walk:
    """The corner at point number `place` rounded by an arc of `radius` [ft] that runs on from both edges there.

    Raises: BadValue where the radius does not fit between the edges, or there is no corner.

    >>> corner = Walk((Line((0, 0), (5, 0)), Line((5, 0), (5, 5))), closed=False)
    >>> [(round(x, 9), round(y, 9)) for x, y in round_corner(corner, 1, 2).points]
    [(0, 0), (3.0, 0.0), (5.0, 2.0), (5, 5)]
    """
    place, pieces = _known(walk, place), walk.pieces
    if not walk.closed and place in {0, len(pieces)}:
        raise BadValue("This is an end of the line: only a corner between two edges can be rounded.")
    before, after = pieces[place - 1], pieces[place]
    turn = turn_between(heading(before, 1), heading(after, 0))
    if abs(turn) > pi - 0.02 or abs(radius) * tan(abs(turn) / 2) < LEAST_EDGE:
        raise BadValue("The edges run straight on (or straight back) here: there is no corner to round.")
    made = rounded(before, after, abs(radius))
    if made is None:
        raise BadValue(_no_room(before, after, abs(radius), turn), field="radius")
    if place == 0:  # what is left of the last edge stays the last
        last, first = (made[:1], made[1:]) if made[0].start == before.start else ((), made)
        return Walk((*first, *pieces[1:-1], *last), closed=True)
    return Walk((*pieces[: place - 1], *made, *pieces[place + 1 :]), walk.closed)


def _no_room(before: Segment, after: Segment, radius: float, turn: float) -> str:
    if isinstance(before, Line) and isinstance(after, Line):
        back, room = radius * tan(abs(turn) / 2), min(before.length, after.length)
        return (
            f"A radius of {format_length(radius)} takes {format_length(back)} of both edges, and the shorter one is "
            f"{format_length(room)} long. Take a smaller radius."
        )
    return f"No arc of {format_length(radius)} radius touches both edges between their ends. Take a smaller radius."


def set_length(walk: Walk, edge: int, length: float) -> Walk:
    """Edge number `edge` made `length` [ft] long from its start on, its direction kept.

    On a line every later point moves along by as much. On an outline the later points move along too, as far as the
    first straight edge along which they move: that one takes up the difference. Where there is none, the edge back to
    the first point does. The edge's start and the points before it stay.
    Raises: BadValue for no length, or an edge there is not.

    >>> from app.domain.plan.shapes import rectangle
    >>> from app.domain.plan.walks import ring_of
    >>> set_length(ring_of(rectangle(20, 12)), 0, 24).points
    ((0.0, 0.0), (24.0, 0.0), (24.0, 12.0), (0.0, 12.0))
    """
    piece = walk.pieces[_edge(walk, edge)]
    if not length > LEAST_EDGE:
        raise BadValue("An edge needs a length above zero.", field="length")
    (ux, uy), chord = heading(Line(piece.start, piece.end), 0), distance(piece.start, piece.end)
    more = chord * length / piece.length - chord
    return _carried(walk, edge, (more * ux, more * uy), scaled=length / piece.length)


def set_direction(walk: Walk, edge: int, bearing: float) -> Walk:
    """Edge number `edge` turned about its start to a direction [degrees, counterclockwise from straight right].

    The points after it move along as in `set_length`.
    """
    piece = walk.pieces[_edge(walk, edge)]
    chord = distance(piece.start, piece.end)
    x, y = piece.start[0] + chord * cos(radians(bearing)), piece.start[1] + chord * sin(radians(bearing))
    return _carried(walk, edge, (x - piece.end[0], y - piece.end[1]), scaled=1.0)


def _carried(walk: Walk, edge: int, by: Point, *, scaled: float) -> Walk:
    """The points after an edge moved along, up to the one from where the rest stays."""
    count, points = len(walk.pieces), walk.points
    moved = {}
    for place in range(edge + 1, edge + 1 + _how_many(walk, edge, by)):
        here = place % count if walk.closed else place
        moved[here] = round(points[here][0] + by[0], 9) + 0.0, round(points[here][1] + by[1], 9) + 0.0
    piece = walk.pieces[edge]
    bent = {edge: rise_of(piece) * scaled} if isinstance(piece, Arc) else {}
    return _with_points(walk, moved, bent)


def _how_many(walk: Walk, edge: int, by: Point) -> int:
    """How many points after an edge move along with its end."""
    count = len(walk.pieces)
    if not walk.closed:
        return count - edge
    far = hypot(*by) or 1.0
    for step in range(1, count - 1):
        piece = walk.pieces[(edge + step) % count]
        if isinstance(piece, Line):
            x, y = heading(piece, 0)
            along = abs(x * by[1] - y * by[0]) / far < 1e-6
            longer = piece.length - (x * by[0] + y * by[1])  # its end stays, its start moves by as much
            if along and longer > LEAST_EDGE:
                return step
    return max(1, count - 1 - edge) if edge < count - 1 else 1


def _with_points(walk: Walk, moved: dict[int, Point], bent: dict[int, float] | None = None) -> Walk:
    """The walk with some of its points elsewhere; arcs between two that move by as much are carried along whole."""
    points = [moved.get(place, point) for place, point in enumerate(walk.points)]
    pieces = []
    for place, piece in enumerate(walk.pieces):
        start, end = points[place], points[(place + 1) % len(points)]
        rise = (bent or {}).get(place, rise_of(piece))
        same = (start, end) == (piece.start, piece.end) and rise == rise_of(piece)
        pieces.append(piece if same else piece_between(start, end, rise))
    return Walk(tuple(pieces), walk.closed)


def radius_of(piece: Segment) -> float | None:
    """The radius [ft] of an arc; None for a straight edge."""
    return radius_of_rise(distance(piece.start, piece.end), rise_of(piece)) if isinstance(piece, Arc) else None


def _known(walk: Walk, place: int) -> int:
    if not 0 <= place < len(walk.points):
        raise BadValue(f"There is no point {place + 1}; the last one is {len(walk.points)}. Open the plan afresh.")
    return place


def _edge(walk: Walk, edge: int) -> int:
    if not 0 <= edge < len(walk.pieces):
        raise BadValue(f"There is no edge {edge + 1}; the last one is {len(walk.pieces)}. Open the plan afresh.")
    return edge
