"""Stake out: every point of a plan in numbers a crew can set. Lengths in feet.

A point is told right and up from the datum, along and off a baseline, and by two swing ties (`swinging`).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import degrees

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Point, Segment
from app.domain.plan.swinging import LEAST_TIE, Fixed, Station, Ties, apart, crossing_angle, station, swing_ties

SAME = 1 / 8 / 12  # ft: two points nearer than this are one stake
_SQUARE = 0.5  # degrees: a corner nearer to square than this is meant to be square


Level = Callable[[Point], float | None]
Sees = Callable[[Point, Point], bool]  # whether a tape can be pulled straight from one point to another


def unknown(_at: Point) -> None:
    """No level is told."""


def open_ground(_from: Point, _to: Point) -> bool:
    """Nothing stands in the way."""
    return True


@dataclass(frozen=True, slots=True)
class Drawn:
    """A thing to stake: its title and its edges and arcs in order; `closed` for one ring of an outline.

    `level` gives its finish level [ft] at a point, or None; `short` is what it is called beside that.
    """

    title: str
    pieces: tuple[Segment, ...]
    closed: bool = True
    level: Level = unknown
    short: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """A thing at a point, to stake."""

    title: str
    at: Point


@dataclass(frozen=True, slots=True)
class Stake:
    """A stake: its number, where it stands, what it is (`corner`, of which titles), and the finish levels known there.

    `levels` are (title, ft above the datum): two things that meet at a step have one each. `spread` [ft] is how far the
    points that it stands for lie from it at most.
    """

    number: int
    at: Point
    of: tuple[tuple[str, str], ...]  # what, of what
    levels: tuple[tuple[str, float], ...] = ()
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Proof:
    """A length between two stakes that proves a square corner or a true four-sided outline."""

    title: str
    from_stake: int
    to_stake: int
    length: float


@dataclass(frozen=True, slots=True)
class Curve:
    """An arc to swing: between two stakes, about a third, at a radius.

    `rise` is how far its middle stands off the chord, for a center that cannot be reached.
    """

    title: str
    from_stake: int
    to_stake: int
    center: int
    radius: float
    length: float
    chord: float
    rise: float


@dataclass(frozen=True, slots=True)
class Layout:
    """All numbers of a stake-out: stakes with their ties and stations, curves, proofs."""

    stakes: tuple[Stake, ...]
    ties: Mapping[int, Ties]
    stations: Mapping[int, Station]
    curves: tuple[Curve, ...]
    proofs: tuple[Proof, ...]
    baseline: tuple[Fixed, Fixed] | None


def lay_out(
    drawn: Sequence[Drawn],
    spots: Sequence[Spot] = (),
    *,
    fixed: Sequence[Fixed] = (),
    baseline: tuple[Fixed, Fixed] | None = None,
    sees: Sees = open_ground,
) -> Layout:
    """The stake-out of drawn things and spots, numbered in the order they are given; stakes that coincide are one.

    `sees(point, point)` says whether a tape can be pulled between two: a tie never runs through the house.
    Raises: BadValue for a baseline of no length.
    """
    if baseline is not None and apart(baseline[0].at, baseline[1].at) < LEAST_TIE:
        raise BadValue(f"The baseline from {baseline[0].title} to {baseline[1].title} has no length. Choose two marks.")
    places = _Places()
    for thing in drawn:
        for point, what in _corners(thing):
            places.put(point, what, thing)
    for spot in spots:
        places.put(spot.at, "thing", Drawn(spot.title, ()))
    stakes = tuple(places.stakes())
    return Layout(
        stakes=stakes,
        ties={
            one.number: ties
            for one in stakes
            if (ties := swing_ties(one.at, [mark for mark in fixed if sees(mark.at, one.at)]))
        },
        stations={one.number: station(one.at, baseline[0].at, baseline[1].at) for one in stakes} if baseline else {},
        curves=tuple(_curves(drawn, places)),
        proofs=tuple(proof for thing in drawn if thing.closed for proof in _proofs(thing, places)),
        baseline=baseline,
    )


class _Places:
    """Points in the order they come, each once."""

    def __init__(self) -> None:
        self._at: list[Point] = []
        self._of: list[list[tuple[str, str]]] = []
        self._levels: list[dict[str, float]] = []
        self._spread: list[float] = []

    def put(self, point: Point, what: str, thing: Drawn) -> None:
        number = self.number(point)
        if number is None:
            self._at.append(point)
            self._of.append([])
            self._levels.append({})
            self._spread.append(0.0)
            number = len(self._at)
        self._spread[number - 1] = max(self._spread[number - 1], apart(self._at[number - 1], point))
        of, levels = self._of[number - 1], self._levels[number - 1]
        if (what, thing.title) not in of:
            of.append((what, thing.title))
        if (found := thing.level(self._at[number - 1])) is not None:
            levels.setdefault(thing.short or thing.title, found)

    def number(self, point: Point) -> int | None:
        """The number of the stake that stands at a point, or within 1/8 in of it."""
        return next((place for place, one in enumerate(self._at, 1) if apart(one, point) <= SAME), None)

    def known(self, point: Point) -> int:
        number = self.number(point)
        assert number is not None, "every corner was put before"
        return number

    def stakes(self) -> Iterator[Stake]:
        rows = zip(self._at, self._of, self._levels, self._spread, strict=True)
        for number, (at, of, levels, spread) in enumerate(rows, 1):
            yield Stake(number, at, tuple(of), tuple(levels.items()), spread)


def _corners(thing: Drawn) -> Iterator[tuple[Point, str]]:
    """Points of a thing that get a stake, and what each is: corners or points in order, then centers of arcs."""
    what = "corner" if thing.closed else "point"
    for piece in thing.pieces:
        yield piece.start, what
    if not thing.closed and thing.pieces:
        yield thing.pieces[-1].end, what
    for piece in thing.pieces:
        if isinstance(piece, Arc):
            yield piece.center, "center of an arc"


def _curves(drawn: Sequence[Drawn], places: _Places) -> Iterator[Curve]:
    for thing in drawn:
        for piece in thing.pieces:
            if isinstance(piece, Arc):
                (ax, ay), (bx, by) = piece.start, piece.end
                yield Curve(
                    title=thing.title,
                    from_stake=places.known(piece.start),
                    to_stake=places.known(piece.end),
                    center=places.known(piece.center),
                    radius=piece.radius,
                    length=piece.length,
                    chord=apart(piece.start, piece.end),
                    rise=apart(piece.at(0.5), ((ax + bx) / 2, (ay + by) / 2)),
                )


def _proofs(thing: Drawn, places: _Places) -> Iterator[Proof]:
    """Both diagonals of four straight sides; else, for each square corner, the third side of its triangle."""
    sides = thing.pieces
    if len(sides) == 4 and not any(isinstance(side, Arc) for side in sides):
        for one, other in ((0, 2), (1, 3)):
            yield _proof(thing.title, sides[one].start, sides[other].start, places)
        return
    for before, after in pairwise((*sides, sides[0])):
        if not isinstance(before, Arc) and not isinstance(after, Arc) and _is_square(before, after):
            yield _proof(thing.title, before.start, after.end, places)


def _is_square(before: Segment, after: Segment) -> bool:
    return abs(degrees(crossing_angle(before.end, before.start, after.end)) - 90) <= _SQUARE


def _proof(title: str, one: Point, other: Point, places: _Places) -> Proof:
    return Proof(title, places.known(one), places.known(other), apart(one, other))
