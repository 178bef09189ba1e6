"""Any smooth curve as arcs that stay within a tolerance of it: for curves of drawings that have no radius."""

from collections.abc import Callable, Iterator

from app.domain.plan.arcs import Line, Point, Segment, arc_through
from app.domain.plan.outline import LEAST_EDGE
from app.domain.plan.pieces import away, distance

WITHIN = 1 / 4 / 12  # ft
_LOOKS = tuple(n / 16 for n in range(1, 16))
_DEEPEST = 9  # halvings

Curve = Callable[[float], Point]


def arcs_along(curve: Curve, *, within: float = WITHIN) -> Iterator[Segment]:
    """Arcs and edges in place of a curve (a point for each share from 0 to 1), no further than `within` [ft] from it.

    They begin and end where the curve does, and meet on it. Source: geometry, each arc through the middle of its part.

    >>> [round(piece.length, 2) for piece in arcs_along(lambda t: (10 * t, 0))]
    [10.0]
    """
    yield from _along(curve, 0.0, 1.0, within, 0)


def _along(curve: Curve, low: float, high: float, within: float, depth: int) -> Iterator[Segment]:
    start, end, middle = curve(low), curve(high), curve((low + high) / 2)
    if distance(start, end) >= LEAST_EDGE:
        piece: Segment = arc_through(start, middle, end) or Line(start, end)
        looked = [curve(low + share * (high - low)) for share in _LOOKS]
        walked = sum(distance(a, b) for a, b in zip((start, *looked), (*looked, end), strict=True))
        near = max(away(piece, point) for point in looked) <= within / 2
        if near and abs(piece.length - walked) <= 0.1 * walked:
            yield piece
            return
    elif max(distance(start, curve(low + share * (high - low))) for share in _LOOKS) < within:
        return
    if depth >= _DEEPEST:
        if distance(start, end) >= LEAST_EDGE:
            yield Line(start, end)
        return
    half = (low + high) / 2
    yield from _along(curve, low, half, within, depth + 1)
    yield from _along(curve, half, high, within, depth + 1)
