"""One straight edge or arc: points on it, parts of it, how far away a point lies, where two of them meet. All exact."""

from collections.abc import Iterator
from math import acos, asin, atan2, cos, hypot, sin, tau

from app.domain.plan.arcs import Arc, Line, Point, Segment, arc_through

SAME = 1e-6  # ft: two points nearer than this are one


def point_at(piece: Segment, share: float) -> Point:
    """The point at a share (0 to 1) of the way along; both ends are exact.

    >>> point_at(Line((0, 0), (10, 4)), 0.5)
    (5.0, 2.0)
    """
    if isinstance(piece, Arc):
        return piece.at(share)
    if share in {0, 1}:
        return piece.end if share else piece.start
    (ax, ay), (bx, by) = piece.start, piece.end
    return ax + (bx - ax) * share, ay + (by - ay) * share


def share_of(piece: Segment, point: Point) -> float:
    """The share (0 to 1) of the way along at which a piece is nearest to a point.

    >>> share_of(Line((0, 0), (10, 0)), (4, 3)), share_of(Line((0, 0), (10, 0)), (-4, 3))
    (0.4, 0.0)
    """
    if isinstance(piece, Line):
        (ax, ay), (bx, by) = piece.start, piece.end
        x, y = bx - ax, by - ay
        return min(max(((point[0] - ax) * x + (point[1] - ay) * y) / (x * x + y * y), 0.0), 1.0)
    turned = _turned(piece, point)
    if turned <= abs(piece.sweep):
        return turned / abs(piece.sweep)
    return 0.0 if distance(point, piece.start) <= distance(point, piece.end) else 1.0


def away(piece: Segment, point: Point) -> float:
    """Shortest distance [ft] from a point to a piece. Source: geometry.

    >>> away(Line((0, 0), (10, 0)), (13, 4))
    5.0
    """
    if isinstance(piece, Arc) and _turned(piece, point) <= abs(piece.sweep):
        return abs(distance(point, piece.center) - piece.radius)
    return distance(point, point_at(piece, share_of(piece, point)))


def distance(one: Point, other: Point) -> float:
    """Distance [ft] between two points."""
    return hypot(other[0] - one[0], other[1] - one[1])


def heading(piece: Segment, share: float) -> Point:
    """The direction, as a unit vector, in which a piece runs at a share (0 to 1) of its way."""
    if isinstance(piece, Line):
        return (piece.end[0] - piece.start[0]) / piece.length, (piece.end[1] - piece.start[1]) / piece.length
    angle, way = piece.from_angle + share * piece.sweep, 1 if piece.sweep > 0 else -1
    return -way * sin(angle), way * cos(angle)


def part_of(piece: Segment, low: float, high: float, start: Point, end: Point) -> Segment:
    """The part of a piece between two shares of its way; `start` and `end` are where its ends are known to lie.

    An arc's part has its center and radius; one too flat to be told from its chord is a line.
    """
    if (low, high) == (0, 1) and (start, end) == (piece.start, piece.end):
        return piece
    if isinstance(piece, Line):
        return Line(start, end)
    return arc_through(start, piece.at((low + high) / 2), end) or Line(start, end)


def rise_of(piece: Segment) -> float:
    """How far a piece rises above its chord [ft]: right of the way if positive, 0 for a straight edge.

    >>> rise_of(arc_through((0, 0), (5, -2), (10, 0)))
    2.0
    """
    if isinstance(piece, Line):
        return 0.0
    (ax, ay), (bx, by), (mx, my) = piece.start, piece.end, piece.at(0.5)
    x, y = bx - ax, by - ay
    return (y * (mx - (ax + bx) / 2) - x * (my - (ay + by) / 2)) / hypot(x, y) + 0.0


def meetings(one: Segment, other: Segment) -> list[Point]:
    """Where two pieces cross or touch: each place once; where they run on each other, the ends of that stretch.

    >>> meetings(Line((0, 0), (10, 0)), Line((4, -3), (4, 3)))
    [(4.0, 0.0)]
    """
    found: list[Point] = []
    ends = [point for point in (one.start, one.end) if away(other, point) <= SAME]
    ends += [point for point in (other.start, other.end) if away(one, point) <= SAME]
    crossed = (point for point in crossings(one, other) if away(one, point) <= SAME and away(other, point) <= SAME)
    for point in (*ends, *crossed):
        if all(distance(point, known) > SAME for known in found):
            found.append(point)
    return found


def _turned(arc: Arc, point: Point) -> float:
    """The angle [rad, 0 to 2π] from an arc's start to a point, the way the arc runs."""
    angle = atan2(point[1] - arc.center[1], point[0] - arc.center[0]) - arc.from_angle
    turned = angle % tau if arc.sweep > 0 else -angle % tau
    return 0.0 if tau - turned < 1e-12 else turned


def crossings(one: Segment, other: Segment) -> Iterator[Point]:
    """Where the whole lines and circles that two pieces lie on cross; none where they are the same or do not meet."""
    if isinstance(one, Line) and isinstance(other, Line):
        yield from _lines(one, other)
    elif isinstance(one, Arc) and isinstance(other, Arc):
        yield from _circles(one, other)
    elif isinstance(one, Line) and isinstance(other, Arc):
        yield from _line_and_circle(one, other)
    elif isinstance(one, Arc) and isinstance(other, Line):
        yield from _line_and_circle(other, one)


def _lines(one: Line, other: Line) -> Iterator[Point]:
    (ux, uy), (vx, vy) = heading(one, 0), heading(other, 0)
    cross = ux * vy - uy * vx
    if abs(cross) > 1e-9:
        x, y = other.start[0] - one.start[0], other.start[1] - one.start[1]
        along = (x * vy - y * vx) / cross
        yield one.start[0] + along * ux, one.start[1] + along * uy


def _line_and_circle(line: Line, arc: Arc) -> Iterator[Point]:
    (ux, uy), (x, y) = heading(line, 0), (arc.center[0] - line.start[0], arc.center[1] - line.start[1])
    along, off = x * ux + y * uy, x * uy - y * ux
    if abs(off) < arc.radius + SAME:
        half = max(arc.radius**2 - off**2, 0.0) ** 0.5
        for place in (along - half, along + half):
            yield line.start[0] + place * ux, line.start[1] + place * uy


def _circles(one: Arc, other: Arc) -> Iterator[Point]:
    x, y = other.center[0] - one.center[0], other.center[1] - one.center[1]
    apart = hypot(x, y)
    if apart < SAME or not abs(one.radius - other.radius) - SAME < apart < one.radius + other.radius + SAME:
        return
    along = (apart**2 + one.radius**2 - other.radius**2) / (2 * apart)
    half = max(one.radius**2 - along**2, 0.0) ** 0.5
    for side in (half, -half):
        yield one.center[0] + (along * x - side * y) / apart, one.center[1] + (along * y + side * x) / apart


def radius_of_rise(chord: float, rise: float) -> float:
    """Radius [ft] of the arc that rises `rise` above a chord [ft]. Source: geometry, r = (c²/4 + h²) / 2h.

    >>> radius_of_rise(8, 2)
    5.0
    """
    return (chord * chord / 4 + rise * rise) / (2 * abs(rise))


def rise_of_radius(chord: float, radius: float) -> float:
    """The rise [ft] of the smaller arc of a radius above a chord; the radius is half the chord or more.

    >>> rise_of_radius(8, 5)
    2.0
    """
    return radius * (1 - cos(asin(min(chord / 2 / radius, 1.0))))


def turn_between(one: Point, other: Point) -> float:
    """The angle [rad] between two directions (unit vectors), left turns positive."""
    cross, dot = one[0] * other[1] - one[1] * other[0], one[0] * other[0] + one[1] * other[1]
    return (1 if cross >= 0 else -1) * acos(min(max(dot, -1.0), 1.0))
