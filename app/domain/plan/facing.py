"""Which parts of outlines face one another: the chords of all of them in one row, compared at once.

An outline lies at the left of its chords. Two of them face each other where they run within 30° of opposite ways (a lot
line: of the same way, since it is met from inside) and lie no further apart than they may.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from app.domain.plan.arcs import Arc, Point
from app.domain.plan.outline import Outline, chords, segments

Floats = NDArray[np.float64]
Places = NDArray[np.intp]
Truths = NDArray[np.bool_]

SAME = 1e-6  # ft
CHORDS = 1 / 8 / 12  # ft: chords stay this near to their arcs
NOBODY = -1
_ALONG = 0.866  # cosine of 30°: steeper, and two edges cross rather than run along each other
_FEW_PAIRS = 10_000  # from here on a tree finds them sooner


@dataclass(frozen=True, slots=True)
class Side:
    """The chords of one outline or line: where they run, what length of edge or arc each stands for, its rings."""

    start: Floats
    end: Floats
    exact: Floats  # ft
    curved: Truths
    rings: tuple[int, ...]  # first chord of each ring


@dataclass(frozen=True, slots=True)
class Row:
    """The chords of several sides in one row. `owner` counts the sides, `ring` the rings of all of them."""

    start: Floats
    unit: Floats
    length: Floats
    exact: Floats
    curved: Truths
    owner: Places
    ring: Places


@dataclass(frozen=True, slots=True)
class Facing:
    """Parts of chords [ft along them] that other sides face; the distance to the left is `off + slope · place`."""

    chord: Places
    low: Floats
    high: Floats
    neighbor: Places
    off: Floats
    slope: Floats


@dataclass(frozen=True, slots=True)
class Parts:
    """Parts of chords in the order of the row, each with one neighbor (a side's number, `NOBODY` where there is none).

    `apart` [ft] is how far the neighbor lies to the left in its middle: negative beyond the outline, positive within.
    """

    chord: Places
    low: Floats
    high: Floats
    neighbor: Places
    apart: Floats


def side_of(outline: Outline) -> Side:
    """The chords of an outline within 1/8 in of its arcs."""
    return _side(outline.wkt)


@lru_cache(maxsize=4096)
def _side(wkt: str) -> Side:
    outline = Outline(wkt)
    drawn, pieces = chords(outline, CHORDS), segments(outline)
    rings = [shapely.get_coordinates(ring) for ring in (drawn.polygon.exterior, *drawn.polygon.interiors)]
    owners = np.array(drawn.owners)
    shares = np.array([piece.length for piece in pieces]) / np.bincount(owners)
    arcs = np.array([isinstance(piece, Arc) for piece in pieces])
    counts = [len(points) - 1 for points in rings]
    return Side(
        start=np.concatenate([points[:-1] for points in rings]),
        end=np.concatenate([points[1:] for points in rings]),
        exact=shares[owners],
        curved=arcs[owners],
        rings=tuple(int(count) for count in np.cumsum([0, *counts[:-1]])),
    )


def side_of_line(points: Sequence[Point]) -> Side:
    """A line of points as a side that can be met from both sides: each of its chords there and back."""
    way = np.array(points, dtype=np.float64)
    there, back = way[:-1], way[1:]
    start, end = np.concatenate([there, back]), np.concatenate([back, there])
    long = np.hypot(*(end - start).T)
    kept = long > SAME
    return Side(start[kept], end[kept], long[kept], np.zeros(int(kept.sum()), dtype=bool), (0,))


def row_of(sides: Sequence[Side]) -> Row:
    """The chords of all sides in one row."""
    counts = [len(side.start) for side in sides]
    begun = np.cumsum([0, *counts[:-1]])
    firsts = [first + int(offset) for side, offset in zip(sides, begun, strict=True) for first in side.rings]
    ring = np.zeros(sum(counts), dtype=np.intp)
    ring[firsts] = 1
    start, end = np.concatenate([side.start for side in sides]), np.concatenate([side.end for side in sides])
    way = end - start
    length = np.hypot(way[:, 0], way[:, 1])
    return Row(
        start=start,
        unit=way / length[:, None],
        length=length,
        exact=np.concatenate([side.exact for side in sides]),
        curved=np.concatenate([side.curved for side in sides]),
        owner=np.repeat(np.arange(len(sides)), counts),
        ring=np.cumsum(ring) - 1,
    )


def facing(row: Row, asked: Truths, reach: Floats, inside: Truths) -> Facing:
    """What faces the chords of the sides that are asked about.

    By side: `asked`, how far it reaches [ft], whether it is met from inside.
    """
    here, there = _near_pairs(row, asked, float(reach.max()))
    cosine = (row.unit[here] * row.unit[there]).sum(axis=1)
    kept = np.where(inside[row.owner[there]], cosine, -cosine) >= _ALONG
    here, there = here[kept], there[kept]
    unit, limit = row.unit[here], reach[row.owner[there]] + SAME
    way = row.start[there] - row.start[here]
    from_place, from_off = _seen(way, unit)
    to_place, to_off = _seen(way + row.unit[there] * row.length[there][:, None], unit)
    slope = (to_off - from_off) / (to_place - from_place)
    off = from_off - slope * from_place
    low, high = np.minimum(from_place, to_place), np.maximum(from_place, to_place)
    level = np.abs(slope) < 1e-12
    steep = np.where(level, 1.0, slope)
    limits = np.sort(np.stack([(-limit - off) / steep, (limit - off) / steep]), axis=0)
    low = np.maximum(np.where(level, low, np.maximum(low, limits[0])), 0.0)
    high = np.minimum(np.where(level, high, np.minimum(high, limits[1])), row.length[here])
    kept = (high - low > SAME) & (~level | (np.abs(off) <= limit))
    order = np.flatnonzero(kept)[np.argsort(here[kept], kind="stable")]
    return Facing(here[order], low[order], high[order], row.owner[there[order]], off[order], slope[order])


def _near_pairs(row: Row, asked: Truths, reach: float) -> tuple[Places, Places]:
    """Chords asked about with those of other sides that come near: a few are held against all, many by a tree."""
    end = row.start + row.unit * row.length[:, None]
    low, high = np.minimum(row.start, end), np.maximum(row.start, end)
    questions = np.flatnonzero(asked[row.owner])
    least, most = low[questions] - reach - SAME, high[questions] + reach + SAME
    if len(questions) * len(low) <= _FEW_PAIRS:
        meets = (low[:, 0] <= most[:, 0, None]) & (high[:, 0] >= least[:, 0, None])
        meets &= (low[:, 1] <= most[:, 1, None]) & (high[:, 1] >= least[:, 1, None])
        pairs = np.nonzero(meets)
    else:
        tree = shapely.STRtree(shapely.box(*low.T, *high.T))
        pairs = tree.query(shapely.box(*least.T, *most.T))  # type: ignore[no-untyped-call]
    here, there = questions[pairs[0]], pairs[1]
    others = row.owner[here] != row.owner[there]
    return here[others], there[others]


def _seen(points: Floats, unit: Floats) -> tuple[Floats, Floats]:
    """Points as place along a direction, and distance to the left of it."""
    return (points * unit).sum(axis=1), unit[:, 0] * points[:, 1] - unit[:, 1] * points[:, 0]


def parts_of(row: Row, own: Places, found: Facing, rank: Places, grade: Places) -> Parts:
    """These chords, cut where their neighbor changes: the nearest of those that face them.

    By side: `rank` decides between two that are as near. By part found: a lower `grade` comes before the nearer one.
    """
    chord, low, high = _cut(row, own, found)
    middle = (low + high) / 2
    begin, past = np.searchsorted(found.chord, chord, "left"), np.searchsorted(found.chord, chord, "right")
    counts = past - begin
    part = np.repeat(np.arange(len(chord)), counts)
    one = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts) + np.repeat(begin, counts)
    there = (found.low[one] <= middle[part]) & (middle[part] <= found.high[one])
    part, one = part[there], one[there]
    apart = found.off[one] + found.slope[one] * middle[part]
    who = found.neighbor[one]
    order = np.lexsort((rank[who], np.round(np.abs(apart), 6), grade[one], part))
    part, first = np.unique(part[order], return_index=True)
    neighbor, distance = np.full(len(chord), NOBODY), np.zeros(len(chord))
    neighbor[part], distance[part] = who[order][first], apart[order][first]
    return Parts(chord, low, high, neighbor, distance)


def _cut(row: Row, own: Places, found: Facing) -> tuple[Places, Floats, Floats]:
    """The chords cut at both ends of all that faces them: chord, from, to [ft along it]."""
    high = np.where(row.length[found.chord] - found.high <= SAME, row.length[found.chord], found.high)
    low = np.where(found.low <= SAME, 0.0, found.low)
    places = np.concatenate([np.zeros(len(own)), row.length[own], low, high])
    where = np.concatenate([own, own, found.chord, found.chord])
    order = np.lexsort((places, where))
    places, where = places[order], where[order]
    kept = np.ones(len(places), dtype=bool)
    kept[1:] = (where[1:] != where[:-1]) | (np.diff(places) > SAME)
    places, where = places[kept], where[kept]
    whole = where[1:] == where[:-1]
    return where[:-1][whole], places[:-1][whole], places[1:][whole]


def across(row: Row, parts: Parts, outlines: Sequence[Outline | None], gap: float) -> Facing:
    """What lies `gap` [ft] across of those chords that are not faced all along, as parts of them with a neighbor.

    So is met what overlaps, and what an edge of noise runs steeply along. None stands for a side that is no area.
    """
    alone = np.bincount(parts.chord, (parts.high - parts.low) * (parts.neighbor == NOBODY), len(row.length))
    open_chords = np.flatnonzero(alone > np.minimum(gap, row.length / 2))  # less is a slit where two edges bend
    numbers = np.array([number for number, outline in enumerate(outlines) if outline is not None], dtype=np.intp)
    areas = np.array([chords(one, CHORDS).polygon for one in outlines if one is not None], dtype=object)
    unit = row.unit[open_chords]
    start = row.start[open_chords] + gap * np.stack([unit[:, 1], -unit[:, 0]], axis=1)
    shifted = np.asarray(
        shapely.linestrings(np.stack([start, start + unit * row.length[open_chords][:, None]], axis=1))
    )
    asking, area = shapely.STRtree(areas).query(shifted)  # type: ignore[no-untyped-call]
    others = row.owner[open_chords[asking]] != numbers[area]
    asking, area = asking[others], area[others]
    pieces, which = shapely.get_parts(shapely.intersection(shifted[asking], areas[area]), return_index=True)
    lines = shapely.length(pieces) > SAME  # type: ignore[no-untyped-call]
    pieces, at, area = pieces[lines], asking[which[lines]], area[which[lines]]
    ends = [shapely.get_coordinates(shapely.get_point(pieces, end)) for end in (0, -1)]  # type: ignore[no-untyped-call]
    places = np.sort(np.stack([((end - start[at]) * unit[at]).sum(axis=1) for end in ends]), axis=0)
    nothing = np.zeros(len(at))
    return Facing(open_chords[at], places[0], places[1], numbers[area], nothing, nothing)


def recut(row: Row, parts: Parts, found: Facing, beyond: Facing, rank: Places, grade: Places) -> Parts:
    """The parts once what lies across is known as well: it comes after what faces, before grade 2."""
    touched = np.zeros(len(row.length), dtype=bool)
    touched[beyond.chord] = True
    again = touched[found.chord]
    both = [np.concatenate([getattr(found, name)[again], getattr(beyond, name)]) for name in Facing.__slots__]
    grades = np.concatenate([grade[again], np.ones(len(beyond.chord), dtype=np.intp)])
    order = np.argsort(both[0], kind="stable")
    every = Facing(*(column[order] for column in both))
    fresh = parts_of(row, np.flatnonzero(touched), every, rank, grades[order])
    kept = ~touched[parts.chord]
    columns = [np.concatenate([getattr(parts, name)[kept], getattr(fresh, name)]) for name in Parts.__slots__]
    order = np.argsort(columns[0], kind="stable")
    return Parts(*(column[order] for column in columns))
