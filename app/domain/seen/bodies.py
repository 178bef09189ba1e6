"""Bodies put together: boxes, round things, walls along a line, masses of leaves."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, hypot, pi, sin

from app.domain.plan.arcs import Point
from app.domain.seen.solids import NEAR, Solid

ROUND = 12  # sides of what is round
MITER = 3.0  # times half the thickness: no corner of a wall reaches further


def box_around(at: Point, long: float, wide: float, angle: float) -> tuple[Point, ...]:
    """The corners of a box on the ground, counterclockwise; its length runs at `angle` [radians]."""
    c, s = cos(angle), sin(angle)
    corners = ((-long, -wide), (long, -wide), (long, wide), (-long, wide))
    return tuple((at[0] + (x * c - y * s) / 2, at[1] + (x * s + y * c) / 2) for x, y in corners)


def ring_around(at: Point, radius: float, sides: int = ROUND) -> tuple[Point, ...]:
    """A round thing on the ground as a ring of corners, counterclockwise."""
    steps = (2 * pi * step / sides for step in range(sides))
    return tuple((at[0] + radius * cos(turn), at[1] + radius * sin(turn)) for turn in steps)


def along(points: Sequence[Point], thick: float) -> Iterator[tuple[tuple[Point, ...], tuple[bool, ...]]]:
    """A line as boxes of a thickness [ft] that meet in miters: corners counterclockwise, and which sides are ends.

    >>> [base for base, _ in along([(0, 0), (10, 0)], 2.0)]
    [((0.0, -1.0), (10.0, -1.0), (10.0, 1.0), (0.0, 1.0))]
    """
    line = [one for place, one in enumerate(points) if not place or hypot(*_less(one, points[place - 1])) > NEAR]
    if len(line) < 2:
        return
    closed = len(line) > 3 and hypot(*_less(line[0], line[-1])) <= NEAR
    cuts = [_cut(line, place, thick / 2, closed=closed) for place in range(len(line))]
    last = len(line) - 2
    for place, ((right, left), (right_on, left_on)) in enumerate(pairwise(cuts)):
        ends = (place == last and not closed, place == 0 and not closed)
        yield (right, right_on, left_on, left), (True, ends[0], True, ends[1])


def _cut(line: Sequence[Point], place: int, half: float, *, closed: bool) -> tuple[Point, Point]:
    """The two points beside a corner of a line, right and left of the way."""
    before = line[place - 1] if place else (line[-2] if closed else None)
    after = line[place + 1] if place + 1 < len(line) else (line[1] if closed else None)
    here = line[place]
    ways = [_unit(_less(b, a)) for a, b in ((before, here), (here, after)) if a is not None and b is not None]
    x, y = _unit((sum(way[0] for way in ways), sum(way[1] for way in ways)))
    if (x, y) == (0.0, 0.0):  # it turns back on itself
        x, y = ways[0]
    lean = max(abs(x * ways[0][0] + y * ways[0][1]), 1 / MITER)
    side = half / lean
    return (here[0] + y * side, here[1] - x * side), (here[0] - y * side, here[1] + x * side)


def _less(one: Point, other: Point) -> Point:
    return float(one[0] - other[0]), float(one[1] - other[1])


def _unit(way: Point) -> Point:
    long = hypot(*way)
    return (way[0] / long, way[1] / long) if long > NEAR else (0.0, 0.0)


def spread_out(points: Sequence[Point], every: float) -> list[Point]:
    """Places along a line from its first to its last point, no further apart than `every` [ft] and evenly.

    >>> spread_out([(0, 0), (30, 0)], 20.0)
    [(0.0, 0.0), (15.0, 0.0), (30.0, 0.0)]
    """
    lengths = [hypot(*_less(b, a)) for a, b in pairwise(points)]
    whole = sum(lengths)
    count = max(1, -int(-whole // max(every, 0.5)))
    return [_at(points, lengths, whole * step / count) for step in range(count + 1)]


def _at(points: Sequence[Point], lengths: Sequence[float], way: float) -> Point:
    for (a, b), long in zip(pairwise(points), lengths, strict=True):
        if way <= long + NEAR:
            share = way / long if long else 0.0
            return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
        way -= long
    return float(points[-1][0]), float(points[-1][1])


def crown(key: str, at: Point, level: float, size: tuple[float, float], color: str, bloom: str = "") -> Iterator[Solid]:
    """A plant as a simple mass, `size` high and across [ft]: a tall one on its trunk; with its `bloom` on top."""
    high, across = size
    clear = high * 0.3 if high > TALL else 0.0
    if clear:
        yield Solid(f"{key}:trunk", ring_around(at, max(0.2, high / 60), 6), level, level + clear, TRUNK, casts=False)
    ring = ring_around(at, across / 2)
    yield Solid(key, ring, level + clear, level + high, color, hatch="planting", top_color=bloom, round=True)


TALL = 7.0  # ft: what is higher shows a trunk. Assumption
TRUNK = "#6b5644"
