"""Shared edges: along which stretches an outline meets a neighbor, the house, a wall, the lot line or open ground.

Who meets whom is found on chords within 1/8 in of their arcs; every length is then told along the exact edge or arc,
so that the stretches of an outline add up to its perimeter. Edges meet where they face each other and lie no further
apart than the gap (drawing noise), and where the ground just across lies in another outline (an overlap). A lot line is
met from inside, a wall from both sides. Nothing typed moves.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from operator import attrgetter
from typing import NamedTuple

import numpy as np
import shapely
from shapely.ops import substring

from app.domain.errors import BadValue
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Line, Point
from app.domain.plan.facing import (
    NOBODY,
    Parts,
    Places,
    Row,
    Side,
    across,
    facing,
    parts_of,
    recut,
    row_of,
    side_of,
    side_of_line,
)
from app.domain.plan.growing import TOUCHING
from app.domain.plan.measures import bounds
from app.domain.plan.nearby import Box, nearby
from app.domain.plan.outline import Outline

HOUSE, LOT, GROUND, WALL = "house", "lot", "ground", "wall"
NO_ZONES = frozenset({HOUSE, LOT, GROUND, WALL})
CORNER = 0.5  # ft: a stretch shorter than this is a corner, not an edge somebody decides about
HALF_WALL = 0.5  # ft: a wall is drawn by its middle, and meets what lies within half of a foot's thickness
_MOST_KEPT = 2048


@dataclass(frozen=True, slots=True)
class SharedEdge:
    """One stretch of `zone`'s outline, and what lies across it: another key, `house`, `wall`, `lot` or `ground`.

    Lengths in ft; `curved_length` is the part of `length` on arcs; `gap` is the mean distance drawn between the two
    (0 on open ground and where they overlap); `path` is the stretch as points, walked with the outline at its left.
    What is shorter than 6 in is a corner and part of the longer stretch beside it.
    """

    zone: str
    neighbor: str
    length: float
    curved_length: float
    gap: float
    path: tuple[Point, ...]

    @property
    def middle(self) -> Point:
        """The point halfway along its path."""
        return halfway(self.path)


def shared_edges(
    outlines: Mapping[str, Outline],
    *,
    house: Outline | None = None,
    lot: Outline | None = None,
    walls: Sequence[Sequence[Point]] = (),
    gap: float = TOUCHING,
) -> tuple[SharedEdge, ...]:
    """Every stretch of every outline, in the order of the outlines, each walked once around.

    `gap` [ft] is how far apart two drawn edges may lie and still be one. Order and place of the plan change nothing.
    What was found is kept by the outlines it rests on: a change works out what lies near it, not the rest.
    Raises: BadValue for a key that means something else (house, wall, lot, ground); every refusal of an outline.

    >>> from app.domain.plan.shapes import rectangle
    >>> found = shared_edges({"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20, 0))})
    >>> [(edge.zone, edge.neighbor, edge.length) for edge in found]
    [('A', 'ground', 52.0), ('A', 'B', 12.0), ('B', 'ground', 22.0), ('B', 'A', 12.0)]
    """
    for key in outlines:
        if key in NO_ZONES:
            raise BadValue(f"A zone cannot be called “{key}”: that is what its edge may meet. Give it another name.")
    if not outlines:
        return ()
    around = [_Around(key, outline.wkt) for key, outline in ((HOUSE, house), (LOT, lot)) if outline is not None]
    around += [_Around(WALL, line=tuple(line)) for line in walls if len(line) > 1]
    rests_on = (tuple(outlines.values()), around, float(gap))
    return _PLANS.get_or_make(tuple(outlines), rests_on, lambda: _shared_edges(outlines, around, float(gap)))


def _shared_edges(outlines: Mapping[str, Outline], around: Sequence["_Around"], gap: float) -> tuple[SharedEdge, ...]:
    everyone = [*(_Around(key, outline.wkt) for key, outline in outlines.items()), *around]
    asking = _questions(everyone, len(outlines), gap)
    known = [_KEPT.get(question) for question in asking]  # one look at each: telling what is the same takes time
    missing = [question for question, kept in zip(asking, known, strict=True) if kept is None]
    answers = _answers(missing) if missing else {}
    if len(_KEPT) + len(answers) > _MOST_KEPT:
        _KEPT.clear()
    _KEPT.update(answers)
    told = (answers[one] if kept is None else kept for one, kept in zip(asking, known, strict=True))
    return tuple(edge for own in told for edge in own)


def edge_lengths(edges: Iterable[SharedEdge]) -> dict[tuple[str, str], tuple[float, float]]:
    """Length and curved length [ft] by zone and neighbor: they add up to each perimeter."""
    totals: dict[tuple[str, str], tuple[float, float]] = {}
    for edge in edges:
        length, curved = totals.get((edge.zone, edge.neighbor), (0.0, 0.0))
        totals[edge.zone, edge.neighbor] = (length + edge.length, curved + edge.curved_length)
    return totals


def halfway(path: Sequence[Point]) -> Point:
    """The point halfway along a path of points.

    >>> halfway([(0, 0), (10, 0), (10, 4)])
    (7.0, 0.0)
    """
    lengths = [Line(*ends).length for ends in pairwise(path)]
    rest = sum(lengths) / 2
    for place, length in enumerate(lengths):
        if rest <= length and length:
            (ax, ay), (bx, by) = path[place], path[place + 1]
            return ax + (bx - ax) * rest / length, ay + (by - ay) * rest / length
        rest -= length
    return path[-1]


def part_around(path: Sequence[Point], at: Point, width: float) -> tuple[Point, ...]:
    """The part of a path [ft] of a width, around the place on it nearest to a point; no further than its ends.

    >>> part_around([(0, 0), (10, 0), (10, 10)], (9, -1), 4)
    ((7.0, 0.0), (10.0, 0.0), (10.0, 1.0))
    """
    line = shapely.linestrings(path)
    middle = float(shapely.line_locate_point(line, shapely.points(at)))
    whole, half = float(line.length), min(width, float(line.length)) / 2
    middle = min(max(middle, half), whole - half)
    part = substring(line, middle - half, middle + half)  # type: ignore[no-untyped-call]
    return tuple((float(x), float(y)) for x, y in part.coords)


class _Around(NamedTuple):
    """Something an outline may meet: a zone by its key, the house, the lot line, or a wall by its line."""

    name: str
    wkt: str = ""
    line: tuple[Point, ...] = ()

    @property
    def outline(self) -> Outline | None:
        return Outline(self.wkt) if self.wkt else None

    def side(self) -> Side:
        return side_of(Outline(self.wkt)) if self.wkt else side_of_line(self.line)

    def box(self) -> Box:
        if self.wkt:
            return bounds(Outline(self.wkt))
        xs, ys = zip(*self.line, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


class _Question(NamedTuple):
    """All that the stretches of one outline rest on: itself, what lies near it, the gap."""

    own: _Around
    near: tuple[_Around, ...]
    gap: float


_KEPT: dict[_Question, tuple[SharedEdge, ...]] = {}
_SAME: dict[SharedEdge, SharedEdge] = {}
_PLANS: KeptByInputs[tuple[SharedEdge, ...]] = KeptByInputs(128)  # whole plans: most edits change no outline


def _questions(everyone: Sequence[_Around], zones: int, gap: float) -> list[_Question]:
    by_name = sorted(everyone, key=attrgetter("name"))
    near = nearby([one.box() for one in by_name], gap + HALF_WALL)
    asked = {
        one.name: _Question(one, tuple([by_name[at] for at in others]), gap)
        for one, others in zip(by_name, near, strict=True)
        if one.name not in NO_ZONES
    }
    return [asked[one.name] for one in everyone[:zones]]


def _answers(questions: Sequence[_Question]) -> dict[_Question, tuple[SharedEdge, ...]]:
    """The stretches of several outlines, worked out together."""
    gap = questions[0].gap
    sides = list(dict.fromkeys(one for question in questions for one in (question.own, *question.near)))
    names = [one.name for one in sides]
    row, rank = row_of([one.side() for one in sides]), ranks(names)
    walls = np.array([name == WALL for name in names], dtype=bool)
    own = {question.own for question in questions}
    asked = np.array([one in own for one in sides], dtype=bool)
    found = facing(row, asked, np.where(walls, gap + HALF_WALL, gap), np.array([name == LOT for name in names]))
    grade = np.where(walls, 2, 0)[found.neighbor]  # what faces, what lies across, a wall
    parts = parts_of(row, np.flatnonzero(asked[row.owner]), found, rank, grade)
    beyond = across(row, parts, [None if one.name in {LOT, WALL} else one.outline for one in sides], gap)
    if len(beyond.chord):
        parts = recut(row, parts, found, beyond, rank, grade)
    by_owner: dict[str, list[SharedEdge]] = {}
    for owner, stretch in _stretches(row, parts, rank.tolist()):
        by_owner.setdefault(names[owner], []).append(_edge(names, owner, stretch))
    return {question: tuple(map(_same, by_owner[question.own.name])) for question in questions}


def _same(edge: SharedEdge) -> SharedEdge:
    """The very stretch it was before, where it is equal: what is kept of it stays found."""
    if len(_SAME) >= _MOST_KEPT:
        _SAME.clear()
    return _SAME.setdefault(edge, edge)


def ranks(names: Sequence[str]) -> Places:
    """The place of each name in order: zones before house, lot line and walls."""
    rank = np.zeros(len(names), dtype=np.intp)
    rank[sorted(range(len(names)), key=lambda at: (names[at] in NO_ZONES, names[at]))] = np.arange(len(names))
    return rank


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Parts of one ring that run on to one neighbor. `met` [ft] is where its gap was measured, `gap` is times that."""

    neighbor: int
    length: float
    curved: float
    gap: float
    met: float
    path: tuple[Point, ...]


def _stretches(row: Row, parts: Parts, rank: Sequence[int]) -> Iterable[tuple[int, _Stretch]]:
    """Every stretch with the number of the side it belongs to."""
    share = (parts.high - parts.low) / row.length[parts.chord]
    exact = row.exact[parts.chord] * share
    start = row.start[parts.chord] + row.unit[parts.chord] * parts.low[:, None]
    end = row.start[parts.chord] + row.unit[parts.chord] * parts.high[:, None]
    ring = row.ring[parts.chord]
    new = np.ones(len(ring), dtype=bool)
    new[1:] = (ring[1:] != ring[:-1]) | (parts.neighbor[1:] != parts.neighbor[:-1])
    first = np.flatnonzero(new)
    past = [*first[1:].tolist(), len(ring)]
    sums = [np.add.reduceat(one, first).tolist() for one in (exact, exact * row.curved[parts.chord])]
    sums += [np.add.reduceat(one, first).tolist() for one in (np.abs(parts.apart) * exact, exact)]
    starts, ends = [tuple(point) for point in start.tolist()], [tuple(point) for point in end.tolist()]
    owners, neighbors = row.owner[parts.chord[first]].tolist(), parts.neighbor[first].tolist()
    runs = [
        (
            (ring_number, owner),
            _Stretch(neighbor, length, curved, gap, faced, (*starts[begin:after], ends[after - 1])),
        )
        for ring_number, owner, neighbor, begin, after, length, curved, gap, faced in zip(
            ring[first].tolist(), owners, neighbors, first.tolist(), past, *sums, strict=True
        )
    ]
    for (_, owner), group in groupby(runs, key=lambda run: run[0]):
        for stretch in _without_corners([run[1] for run in group], rank):
            yield owner, stretch


def _without_corners(stretches: list[_Stretch], rank: Sequence[int]) -> list[_Stretch]:
    """Stretches of one ring run on around it; those under 6 in go to the longer one beside them, the shortest first."""

    def size(stretch: _Stretch) -> tuple[float, int]:
        return round(stretch.length, 6), rank[stretch.neighbor] if stretch.neighbor != NOBODY else len(rank)

    joined = _run_on(stretches)
    while len(joined) > 1 and min(one.length for one in joined) < CORNER - 1e-9:
        place = min(range(len(joined)), key=lambda at: size(joined[at]))
        longer = max(joined[place - 1], joined[(place + 1) % len(joined)], key=size)
        joined[place] = replace(joined[place], neighbor=longer.neighbor, gap=0.0, met=0.0)
        joined = _run_on(joined)
    return joined


def _run_on(stretches: list[_Stretch]) -> list[_Stretch]:
    joined: list[_Stretch] = []
    for stretch in stretches:
        if joined and joined[-1].neighbor == stretch.neighbor:
            joined[-1] = _joined(joined[-1], stretch)
        else:
            joined.append(stretch)
    if len(joined) > 1 and joined[0].neighbor == joined[-1].neighbor:
        joined[0] = _joined(joined.pop(), joined[0])
    return joined


def _joined(one: _Stretch, other: _Stretch) -> _Stretch:
    return _Stretch(
        one.neighbor,
        one.length + other.length,
        one.curved + other.curved,
        one.gap + other.gap,
        one.met + other.met,
        one.path + other.path[1:],
    )


def _edge(names: Sequence[str], owner: int, stretch: _Stretch) -> SharedEdge:
    return SharedEdge(
        zone=names[owner],
        neighbor=GROUND if stretch.neighbor == NOBODY else names[stretch.neighbor],
        length=stretch.length,
        curved_length=stretch.curved,
        gap=stretch.gap / stretch.met if stretch.met else 0.0,
        path=stretch.path,
    )
