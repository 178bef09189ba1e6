"""How well outlines fit together: what two of them cover at once, and narrow strips that lie between.

Within the gap that makes one edge of two, both are drawing noise and nobody is told.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from typing import Any, NamedTuple

import numpy as np

from app.domain.keeping import BoundedCache
from app.domain.plan.arcs import Point
from app.domain.plan.edges import HOUSE, halfway, ranks
from app.domain.plan.facing import CHORDS, NOBODY, Truths, facing, parts_of, row_of, side_of
from app.domain.plan.growing import TOUCHING
from app.domain.plan.measures import bounds
from app.domain.plan.nearby import nearby
from app.domain.plan.outline import Outline, chords

WIDEST = 1.0  # ft: what lies wider apart was meant to
SHORTEST = 1.0  # ft: a strip shorter than this is a corner
_SLACK = 1e-3  # ft: more than rounding


@dataclass(frozen=True, slots=True)
class Overlap:
    """What two outlines cover both: `area` [sq ft], a point in it; `within` where the first lies in the other."""

    one: str
    other: str
    area: float
    at: Point
    within: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip between two outlines, told from the first: mean and largest width, length [ft], the point halfway."""

    one: str
    other: str
    width: float
    most: float
    length: float
    at: Point


def overlaps(
    outlines: Mapping[str, Outline], *, house: Outline | None = None, gap: float = TOUCHING
) -> tuple[Overlap, ...]:
    """Pairs of outlines that cover the same ground, deeper than `gap` [ft]; one that lies within the other comes first.

    Order never matters. Source: geometry, on chords within 1/8 in of arcs.

    >>> from app.domain.plan.shapes import rectangle
    >>> [(one.one, one.other, one.area) for one in overlaps({"A": rectangle(9, 9), "B": rectangle(20, 4, at=(8, 2))})]
    [('A', 'B', 4.0)]
    """
    named = {**outlines, **({HOUSE: house} if house else {})}
    names = sorted(named, key=lambda name: (name == HOUSE, name))
    near = nearby([bounds(named[name]) for name in names], 0.0)
    pairs = [(own, other) for own, others in enumerate(near) for other in others if own < other]
    found = (_overlap(named[names[own]].wkt, named[names[other]].wkt, gap) for own, other in pairs)
    return tuple(
        _told(names[own], names[other], one, turned=names[other] != HOUSE)
        for (own, other), one in zip(pairs, found, strict=True)
        if one is not None
    )


@lru_cache(maxsize=8192)
def _overlap(one: str, other: str, gap: float) -> tuple[float, Point, bool, bool] | None:
    """Area in common, a point in it, whether it is all of the one, all of the other; None within drawing noise."""
    first, second = chords(Outline(one), CHORDS).polygon, chords(Outline(other), CHORDS).polygon
    if not _boxes_overlap(first.bounds, second.bounds):
        return None
    common: Any = first.intersection(second)
    if not common.area:
        return None
    core = common.buffer(-gap / 2, join_style="mitre")
    if core.is_empty:
        return None
    inner = core.representative_point()
    slack = common.area + gap * common.length
    return float(common.area), (inner.x, inner.y), bool(slack >= first.area), bool(slack >= second.area)


def _boxes_overlap(one: Sequence[float], other: Sequence[float]) -> bool:
    return max(one[0], other[0]) < min(one[2], other[2]) and max(one[1], other[1]) < min(one[3], other[3])


def _told(one: str, other: str, found: tuple[float, Point, bool, bool], *, turned: bool) -> Overlap:
    area, at, first_within, second_within = found
    if turned and second_within and not first_within:
        return Overlap(other, one, area, at, within=True)
    return Overlap(one, other, area, at, first_within)


def strips(
    outlines: Mapping[str, Outline], *, house: Outline | None = None, gap: float = TOUCHING, widest: float = WIDEST
) -> tuple[Strip, ...]:
    """Strips wider than `gap` and narrower than `widest` [ft] between two outlines, each told once.

    Order never matters. Source: geometry, on chords within 1/8 in of arcs.

    >>> from app.domain.plan.shapes import rectangle
    >>> [(one.one, one.other, one.width, one.length) for one in
    ...  strips({"A": rectangle(9, 9), "B": rectangle(9, 9, at=(9.5, 0))})]
    [('A', 'B', 0.5, 9.0)]
    """
    sides = [(name, outline.wkt) for name, outline in sorted(outlines.items())]
    asking = _questions([*sides, *([(HOUSE, house.wkt)] if house else [])], float(gap), float(widest))
    known = [_STRIPS.get(question) for question in asking]
    missing = [question for question, kept in zip(asking, known, strict=True) if kept is None]
    answers = _answers(missing) if missing else {}
    for question, answer in answers.items():
        _STRIPS.keep(question, answer)
    told = (answers[one] if kept is None else kept for one, kept in zip(asking, known, strict=True))
    return tuple(strip for own in told for strip in own)


_Named = tuple[str, str]  # an outline by its name, and its text


class _Question(NamedTuple):
    """All that the strips along one outline rest on: itself, what lies near it, how narrow a strip is."""

    own: _Named
    near: tuple[_Named, ...]
    gap: float
    widest: float


_STRIPS: BoundedCache[_Question, tuple[Strip, ...]] = BoundedCache(2048)


def _questions(sides: Sequence[_Named], gap: float, widest: float) -> list[_Question]:
    """One for each outline that lies near another which is told after it: strips are told from the first of two."""
    near = nearby([bounds(Outline(wkt)) for _, wkt in sides], widest + _SLACK)
    return [
        _Question(sides[own], tuple([sides[at] for at in others]), gap, widest)
        for own, others in enumerate(near)
        if others and others[-1] > own
    ]


def _answers(questions: Sequence[_Question]) -> dict[_Question, tuple[Strip, ...]]:
    """The strips along several outlines, worked out together."""
    gap, widest = questions[0].gap, questions[0].widest
    sides = sorted(
        {side for question in questions for side in (question.own, *question.near)},
        key=lambda side: (side[0] == HOUSE, side),
    )
    by_owner: dict[str, list[Strip]] = {}
    asked = {question.own for question in questions}
    for strip in _strips(sides, np.array([side in asked for side in sides], dtype=bool), gap, widest):
        by_owner.setdefault(strip.one, []).append(strip)
    return {question: tuple(by_owner.get(question.own[0], ())) for question in questions}


def _strips(sides: Sequence[_Named], asked: Truths, gap: float, widest: float) -> list[Strip]:
    names = [name for name, _ in sides]
    row, nobody = row_of([side_of(Outline(wkt)) for _, wkt in sides]), np.zeros(len(sides), dtype=bool)
    found = facing(row, asked, np.full(len(sides), widest), nobody)
    own_chords = np.flatnonzero(asked[row.owner])
    parts = parts_of(row, own_chords, found, ranks(names), np.zeros(len(found.chord), dtype=np.intp))
    wide = np.flatnonzero((parts.neighbor != NOBODY) & (parts.apart < -gap - 1e-9))
    owner, ring, neighbor = row.owner[parts.chord[wide]], row.ring[parts.chord[wide]], parts.neighbor[wide]
    own = owner < neighbor
    keys = list(zip(owner[own].tolist(), neighbor[own].tolist(), ring[own].tolist(), strict=True))
    places = wide[own].tolist()
    start = row.start[parts.chord] + row.unit[parts.chord] * parts.low[:, None]
    end = row.start[parts.chord] + row.unit[parts.chord] * parts.high[:, None]
    told: list[Strip] = []
    for run in _runs(list(zip(keys, places, strict=True))):
        (one, other, _), at = run[0][0], [place for _, place in run]
        length = parts.high[at] - parts.low[at]
        if length.sum() < SHORTEST:
            continue
        width = -parts.apart[at]
        path = [(x, y) for x, y in [*start[at].tolist(), end[at[-1]].tolist()]]
        mean = float((width * length).sum() / length.sum())
        told.append(Strip(names[one], names[other], mean, float(width.max()), float(length.sum()), halfway(path)))
    return told


_Key = tuple[int, int, int]


def _runs(parts: list[tuple[_Key, int]]) -> Iterator[list[tuple[_Key, int]]]:
    """Parts that follow one another along one ring with one neighbor."""
    for _, group in groupby(enumerate(parts), key=lambda item: (item[1][0], item[1][1] - item[0])):
        yield [part for _, part in group]
