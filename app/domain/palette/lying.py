"""Swatches as they will lie: squares as large as the ground they cover, each against what it touches on the plan.

Placed one after the other, most of it first, then what touches most of what lies already; no two overlap, and each one
that touches something on the plan touches it here where there is room.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

Pair = frozenset[str]
NEAR = 1e-6  # ft
HELD = 0.25  # share of the shorter side along which two squares must meet to be seen as touching


@dataclass(frozen=True, slots=True)
class Piece:
    """What is to lie: its key, how much ground it covers [sq ft], where its middle lies on the plan [ft]."""

    key: str
    area: float
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Square:
    """A swatch in its place: lower left corner and side [ft]."""

    key: str
    x: float
    y: float
    side: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle."""
        return self.x + self.side / 2, self.y + self.side / 2


def lie_beside(pieces: Iterable[Piece], touching: Mapping[Pair, float]) -> tuple[Square, ...]:
    """Every piece as a square of its own area; `touching` is how long [ft] two of them meet on the plan.

    >>> pieces = [Piece("a", 100, 0, 0), Piece("b", 25, 9, 0)]
    >>> [(one.key, one.x, one.side) for one in lie_beside(pieces, {frozenset("ab"): 5.0})]
    [('a', 0.0, 10.0), ('b', 10.0, 5.0)]
    """
    left = {one.key: one for one in pieces if one.area > 0}
    placed: dict[str, Square] = {}
    known = dict(left)
    while left:
        key = min(left, key=lambda key: _turn(left[key], placed, touching))
        placed[key] = _placed(left.pop(key), placed, known, touching)
    return tuple(placed.values())


def _turn(piece: Piece, placed: Mapping[str, Square], touching: Mapping[Pair, float]) -> tuple[float, float, str]:
    met = sum(touching.get(frozenset((piece.key, key)), 0.0) for key in placed)
    return -met, -piece.area, piece.key


def _placed(
    piece: Piece, placed: Mapping[str, Square], known: Mapping[str, Piece], touching: Mapping[Pair, float]
) -> Square:
    side = sqrt(piece.area)
    if not placed:
        return Square(piece.key, 0.0, 0.0, side)
    beside = [one for key, one in placed.items() if touching.get(frozenset((piece.key, key)))]
    wanted = _wanted(piece, beside or list(placed.values()), known)
    there = tuple(placed.values())
    names = {one.key for one in beside}

    def badness(at: tuple[float, float]) -> tuple[float, float, float, float, float]:
        one = Square(piece.key, *at, side)
        met = [other.key for other in there if contact(one, other) >= HELD * min(side, other.side)]
        away = hypot(one.middle[0] - wanted[0], one.middle[1] - wanted[1])
        return -sum(key in names for key in met), sum(key not in names for key in met), round(away, 6), *at

    places = [at for at in _places(side, beside or there, there) if _is_free(at, side, there)]
    if not places:
        places = [at for at in _places(side, there, there) if _is_free(at, side, there)]
    return Square(piece.key, *min(places, key=badness), side)


def _wanted(piece: Piece, beside: Sequence[Square], known: Mapping[str, Piece]) -> tuple[float, float]:
    """Where it would lie, were it as far from what lies already as on the plan."""
    points = [
        (one.middle[0] + piece.x - known[one.key].x, one.middle[1] + piece.y - known[one.key].y) for one in beside
    ]
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _places(side: float, beside: Iterable[Square], there: Sequence[Square]) -> Iterator[tuple[float, float]]:
    """Lower left corners against a side of each: flush, in the middle, and against what stands along that side."""
    for one in beside:
        for x in (one.x + one.side, one.x - side):
            rows = _along(one.y, one.side, side, [(s.y, s.side) for s in there if _spans(s.x, s.side, x, side)])
            yield from ((x, y) for y in rows)
        for y in (one.y + one.side, one.y - side):
            columns = _along(one.x, one.side, side, [(s.x, s.side) for s in there if _spans(s.y, s.side, y, side)])
            yield from ((x, y) for x in columns)


def _along(start: float, long: float, side: float, others: Sequence[tuple[float, float]]) -> Iterator[float]:
    least = HELD * min(long, side)
    flush = [start, start + long - side, start + (long - side) / 2, start - side + least, start + long - least]
    flush += [at + wide for at, wide in others] + [at - side for at, _ in others]
    return (at for at in flush if min(at + side, start + long) - max(at, start) >= least - NEAR)


def _spans(start: float, long: float, other: float, side: float) -> bool:
    return start < other + side - NEAR and other < start + long - NEAR


def _is_free(at: tuple[float, float], side: float, there: Sequence[Square]) -> bool:
    return not any(_spans(at[0], side, one.x, one.side) and _spans(at[1], side, one.y, one.side) for one in there)


def contact(one: Square, other: Square) -> float:
    """Along how much [ft] two squares meet; 0 where they do not, or only at a corner."""
    gap_x = max(one.x, other.x) - min(one.x + one.side, other.x + other.side)
    gap_y = max(one.y, other.y) - min(one.y + one.side, other.y + other.side)
    if abs(gap_x) <= NEAR and gap_y < 0:
        return -gap_y
    return -gap_x if abs(gap_y) <= NEAR and gap_x < 0 else 0.0
