"""The outer edge of an outline as chains: stretches between true corners, along which a border course runs on.

A chain is measured along the course's narrow side: on an arc that bulges outward that is its inner edge, where the
units touch and the joints open like a fan; on one that bends inward it is the outer edge.
"""

from dataclasses import dataclass, replace
from math import atan2, cos, hypot, pi, sin, sqrt, tau
from typing import Literal

from app.domain.plan.arcs import Arc, Line, Point, Ring, Segment
from app.domain.plan.outline import Outline, rings_of

SMOOTH = 10 * pi / 180  # rad: where the edge turns by less the course runs on
_SAME = 1e-4  # ft


# how a course ends at a corner: it goes on beyond it; runs through to the outline; is mitered; ends at a right angle
End = Literal["on", "through", "miter", "square"]


@dataclass(frozen=True, slots=True)
class Chain:
    """Edges one after another without a corner; `closed` when they go around. The outline lies at their left.

    `turns` [rad] are the corners at begin and end: positive where the outline turns left (an outer corner).
    """

    pieces: tuple[Segment, ...]
    closed: bool
    turns: tuple[float, float] = (0.0, 0.0)
    before: float = 0.0  # direction [rad] of the edge that arrives at the first corner
    after: float = 0.0  # direction of the edge that leaves the last one
    ends: tuple[End, End] = ("on", "on")

    @property
    def begin(self) -> Point:
        """Its first point."""
        return self.pieces[0].start

    @property
    def end(self) -> Point:
        """Its last point."""
        return self.pieces[-1].end

    @property
    def headings(self) -> tuple[float, float]:
        """The directions [rad] in which it begins and ends."""
        return heading(self.pieces[0], at_end=False), heading(self.pieces[-1], at_end=True)


@dataclass(frozen=True, slots=True)
class Frame:
    """A place on the edge: the point, the direction the edge runs in [rad], and its radius [ft].

    `radius` is positive on an arc that bulges outward, negative on one that bends inward, 0 on a line.
    """

    point: Point
    heading: float
    radius: float


def chains_of(outline: Outline, number: int = 0) -> tuple[Chain, ...]:
    """The outer edge as chains, or that of an opening by its number from 1.

    Arcs of one circle in a row are one arc; a full circle is one closed chain.
    """
    ring = _merged(rings_of(outline)[number])
    count = len(ring)
    turns = [_turn(ring[place - 1], ring[place]) for place in range(count)]
    corners = [place for place in range(count) if abs(turns[place]) > SMOOTH]
    if not corners:
        return (Chain(ring, closed=True),)
    found = []
    for first, last in zip(corners, [*corners[1:], corners[0] + count], strict=True):
        pieces = tuple(ring[place % count] for place in range(first, last))
        before = heading(ring[first - 1], at_end=True)
        after = heading(ring[last % count], at_end=False)
        found.append(Chain(pieces, False, (turns[first], turns[last % count]), before, after))
    return tuple(found)


def narrow_length(piece: Segment, inner: float, outer: float) -> float:
    """Length [ft] of the narrow side of a course between two depths [ft] inside an edge; 0 where the arc is too tight.

    >>> narrow_length(Line((0, 0), (12, 0)), 0.5, 0.0)
    12.0
    """
    if isinstance(piece, Line):
        return piece.length
    radius = piece.radius - inner if piece.sweep > 0 else piece.radius + outer
    return max(0.0, radius) * abs(piece.sweep)


def frame_at(chain: Chain, along: float, inner: float, outer: float) -> Frame:
    """The place at a distance [ft] along the narrow side; beyond an end the edge is taken to run straight on."""
    rest = along
    for place, piece in enumerate(chain.pieces):
        length = narrow_length(piece, inner, outer)
        last = place == len(chain.pieces) - 1
        if rest <= length or last:
            return _frame(piece, rest, length)
        rest -= length
    raise AssertionError  # a chain has pieces


def heading(piece: Segment, *, at_end: bool) -> float:
    """The direction [rad] in which an edge runs at its start or end."""
    if isinstance(piece, Line):
        return atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0])
    angle = piece.from_angle + (piece.sweep if at_end else 0.0)
    return angle + (pi / 2 if piece.sweep > 0 else -pi / 2)


def _frame(piece: Segment, along: float, length: float) -> Frame:
    if isinstance(piece, Line) or not length:
        return _straight_on(piece.start, heading(piece, at_end=False), along)
    if along < 0:
        return _straight_on(piece.start, heading(piece, at_end=False), along)
    if along > length:
        return _straight_on(piece.end, heading(piece, at_end=True), along - length)
    way = 1 if piece.sweep > 0 else -1
    angle = piece.from_angle + along / length * piece.sweep
    point = piece.center[0] + piece.radius * cos(angle), piece.center[1] + piece.radius * sin(angle)
    return Frame(point, angle + way * pi / 2, way * piece.radius)


def _straight_on(point: Point, direction: float, along: float) -> Frame:
    return Frame((point[0] + along * cos(direction), point[1] + along * sin(direction)), direction, 0.0)


def _turn(one: Segment, other: Segment) -> float:
    """How far [rad] the edge turns left between two edges: -pi to pi."""
    return (heading(other, at_end=False) - heading(one, at_end=True) + pi) % tau - pi


def _merged(ring: Ring) -> Ring:
    pieces: list[Segment] = []
    for piece in ring:
        if pieces and _one_circle(pieces[-1], piece):
            pieces[-1] = _both(pieces[-1], piece)
        elif pieces and _one_line(pieces[-1], piece):
            pieces[-1] = Line(pieces[-1].start, piece.end)
        else:
            pieces.append(piece)
    if len(pieces) > 1 and (_one_circle(pieces[-1], pieces[0])):
        pieces[0] = _both(pieces.pop(), pieces[0])
    elif len(pieces) > 3 and _one_line(pieces[-1], pieces[0]):
        pieces[0] = Line(pieces.pop().start, pieces[0].end)
    return tuple(pieces)


def _one_circle(one: Segment, other: Segment) -> bool:
    return (
        isinstance(one, Arc)
        and isinstance(other, Arc)
        and one.sweep * other.sweep > 0
        and abs(one.radius - other.radius) < _SAME
        and hypot(one.center[0] - other.center[0], one.center[1] - other.center[1]) < _SAME
        and abs(one.sweep + other.sweep) < tau + _SAME
    )


def _both(one: Segment, other: Segment) -> Segment:
    assert isinstance(one, Arc)
    assert isinstance(other, Arc)
    return replace(one, end=other.end, sweep=one.sweep + other.sweep)


def _one_line(one: Segment, other: Segment) -> bool:
    return isinstance(one, Line) and isinstance(other, Line) and abs(_turn(one, other)) < 1e-6


def inset(radius: float, along: float) -> float:
    """How far [ft] a straight unit `along` ft long lies inside the arc on which both its outer corners stand.

    >>> round(inset(9.0, 0.5) * 12, 3)
    0.042
    """
    return radius - sqrt(max(0.0, radius**2 - along**2 / 4)) if radius > 0 else 0.0
