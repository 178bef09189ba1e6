"""Shared edges: along which stretches an outline meets a neighbor, the house, the lot line or open ground.

Who meets whom is found on chords within 1/8 in of their arcs; every length is then told along the exact edge or arc,
so that the stretches of an outline add up to its perimeter. Edges meet where they run within 30° of each other, face
each other and lie no further apart than the gap (drawing noise). A lot line is met from inside.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Point
from app.domain.plan.growing import TOUCHING
from app.domain.plan.outline import Outline, chords, segments

HOUSE, LOT, GROUND = "house", "lot", "ground"
CORNER = 0.5  # ft: a stretch shorter than this is a corner, not an edge somebody decides about

_CHORDS = 1 / 8 / 12  # ft
_SAME = 1e-6  # ft
_ALONG = 0.866  # cosine of 30°: steeper, and two edges cross rather than run along each other

_Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SharedEdge:
    """One stretch of `zone`'s outline, and what lies across it: another key, `house`, `lot` or `ground`.

    Lengths in ft; `curved_length` is the part of `length` on arcs; `gap` is the mean distance drawn between the two
    (0 on open ground); `corner` marks stretches under 6 in; `path` is the stretch as points, for drawing.
    """

    zone: str
    neighbor: str
    length: float
    curved_length: float
    gap: float
    corner: bool
    path: tuple[Point, ...]


def shared_edges(
    outlines: Mapping[str, Outline], *, house: Outline | None = None, lot: Outline | None = None, gap: float = TOUCHING
) -> tuple[SharedEdge, ...]:
    """Every stretch of every outline, in the order of the outlines, each walked once around.

    `gap` [ft] is how far apart two drawn edges may lie and still be one. Order and place of the plan change nothing.
    Raises: BadValue for a key that means something else (house, lot, ground); every refusal of an outline.

    >>> from app.domain.plan.shapes import rectangle
    >>> found = shared_edges({"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20, 0))})
    >>> [(edge.zone, edge.neighbor, edge.length) for edge in found]
    [('A', 'ground', 52.0), ('A', 'B', 12.0), ('B', 'ground', 22.0), ('B', 'A', 12.0)]
    """
    for key in outlines:
        if key in {HOUSE, LOT, GROUND}:
            raise BadValue(f"A zone cannot be called “{key}”: that is what its edge may meet. Give it another name.")
    sides = [(key, outline.wkt) for key, outline in outlines.items()]
    around = [(key, outline.wkt) for key, outline in ((HOUSE, house), (LOT, lot)) if outline is not None]
    return _shared_edges(tuple(sides), tuple(around), float(gap))


def edge_lengths(edges: Iterable[SharedEdge]) -> dict[tuple[str, str], tuple[float, float]]:
    """Length and curved length [ft] by zone and neighbor, corners included: they add up to each perimeter."""
    totals: dict[tuple[str, str], tuple[float, float]] = {}
    for edge in edges:
        length, curved = totals.get((edge.zone, edge.neighbor), (0.0, 0.0))
        totals[edge.zone, edge.neighbor] = (length + edge.length, curved + edge.curved_length)
    return totals


@dataclass(frozen=True, slots=True)
class _Sides:
    """All chords of all outlines in one row: where they run, whose they are, what they stand for."""

    start: _Floats
    end: _Floats
    owner: NDArray[np.intp]
    exact: list[float]  # length of the edge or arc that each chord stands for
    curved: list[bool]
    rings: list[tuple[int, int, int]]  # owner, first chord, past the last


@dataclass(frozen=True, slots=True)
class _Facing:
    """A part of a chord [ft along it] that another outline faces; the distance is `off + slope · place`."""

    low: float
    high: float
    neighbor: int
    off: float
    slope: float

    def distance(self, place: float) -> float:
        return abs(self.off + self.slope * place)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A part of a chord with one neighbor (-1: ground)."""

    neighbor: int
    length: float
    curved: float
    gap: float  # times length
    path: tuple[Point, ...]


@lru_cache(maxsize=256)
def _shared_edges(
    outlines: tuple[tuple[str, str], ...], around: tuple[tuple[str, str], ...], gap: float
) -> tuple[SharedEdge, ...]:
    if not outlines:
        return ()
    names = [key for key, _ in (*outlines, *around)]
    sides = _sides([Outline(wkt) for _, wkt in (*outlines, *around)])
    facing = _facing(sides, names, len(outlines), gap)
    found: list[SharedEdge] = []
    for owner, first, last in sides.rings:
        if owner < len(outlines):
            pieces = [piece for chord in range(first, last) for piece in _pieces(sides, chord, facing, names)]
            found += (_edge(names, owner, stretch) for stretch in _stretches(pieces, gap))
    return tuple(found)


def _sides(outlines: Sequence[Outline]) -> _Sides:
    starts: list[_Floats] = []
    ends: list[_Floats] = []
    owners: list[NDArray[np.intp]] = []
    exact: list[float] = []
    curved: list[bool] = []
    rings: list[tuple[int, int, int]] = []
    for number, outline in enumerate(outlines):
        drawn, pieces = chords(outline, _CHORDS), segments(outline)
        counts = np.bincount(drawn.owners)
        exact += [pieces[owner].length / float(counts[owner]) for owner in drawn.owners]
        curved += [isinstance(pieces[owner], Arc) for owner in drawn.owners]
        for ring in (drawn.polygon.exterior, *drawn.polygon.interiors):
            points = shapely.get_coordinates(ring)
            begun = sum(len(one) for one in starts)
            rings.append((number, begun, begun + len(points) - 1))
            starts.append(points[:-1])
            ends.append(points[1:])
            owners.append(np.full(len(points) - 1, number))
    return _Sides(np.concatenate(starts), np.concatenate(ends), np.concatenate(owners), exact, curved, rings)


def _facing(sides: _Sides, names: Sequence[str], zones: int, gap: float) -> dict[int, list[_Facing]]:
    """By chord of a zone: the parts of it that other outlines face within the gap."""
    here, there = _near_pairs(sides, zones, gap)
    way = sides.end - sides.start
    length = np.hypot(way[:, 0], way[:, 1])
    along = way / length[:, None]
    cosine = (along[here] * along[there]).sum(axis=1)
    inside = np.array([name == LOT for name in names], dtype=bool)[sides.owner[there]]
    kept = np.where(inside, cosine, -cosine) >= _ALONG
    here, there = here[kept], there[kept]
    unit = along[here]
    from_place, from_off = _seen(sides.start[there] - sides.start[here], unit)
    to_place, to_off = _seen(sides.end[there] - sides.start[here], unit)
    slope = (to_off - from_off) / (to_place - from_place)
    off = from_off - slope * from_place
    low, high = np.minimum(from_place, to_place), np.maximum(from_place, to_place)
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.sort(np.stack([(-gap - _SAME - off) / slope, (gap + _SAME - off) / slope]), axis=0)
    level = np.abs(slope) < 1e-12
    low = np.maximum(np.where(level, low, np.maximum(low, limits[0])), 0.0)
    high = np.minimum(np.where(level, high, np.minimum(high, limits[1])), length[here])
    kept = (high - low > _SAME) & (~level | (np.abs(off) <= gap + _SAME))
    columns = (here, low, high, sides.owner[there], off, slope)
    found: dict[int, list[_Facing]] = {}
    for chord, *rest in zip(*(column[kept].tolist() for column in columns), strict=True):
        found.setdefault(chord, []).append(_Facing(*rest))
    return found


def _near_pairs(sides: _Sides, zones: int, gap: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    lines: NDArray[Any] = np.asarray(shapely.linestrings(np.stack([sides.start, sides.end], axis=1)))
    asked = np.flatnonzero(sides.owner < zones)
    tree = shapely.STRtree(lines)
    pairs = tree.query(lines[asked], predicate="dwithin", distance=gap + _SAME)  # type: ignore[no-untyped-call]
    here, there = asked[pairs[0]], pairs[1]
    others = sides.owner[here] != sides.owner[there]
    return here[others], there[others]


def _seen(points: _Floats, unit: _Floats) -> tuple[_Floats, _Floats]:
    """Points as place along a direction, and distance to the left of it."""
    place = (points * unit).sum(axis=1)
    return place, unit[:, 0] * points[:, 1] - unit[:, 1] * points[:, 0]


def _pieces(sides: _Sides, chord: int, facing: Mapping[int, list[_Facing]], names: Sequence[str]) -> Iterator[_Piece]:
    start, end = sides.start[chord].tolist(), sides.end[chord].tolist()
    length = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    near = facing.get(chord, [])
    for low, high in pairwise(_breaks(near, length)):
        middle = (low + high) / 2
        there = [one for one in near if one.low <= middle <= one.high]
        nearest = min(there, key=lambda one: _rank(names[one.neighbor], one.distance(middle)), default=None)
        exact = sides.exact[chord] * (high - low) / length
        path = tuple(
            (start[0] + (end[0] - start[0]) * place / length, start[1] + (end[1] - start[1]) * place / length)
            for place in (low, high)
        )
        yield _Piece(
            neighbor=-1 if nearest is None else nearest.neighbor,
            length=exact,
            curved=exact if sides.curved[chord] else 0.0,
            gap=0.0 if nearest is None else nearest.distance(middle) * exact,
            path=path,
        )


def _rank(name: str, distance: float) -> tuple[float, bool, str]:
    """Which of several is met: the nearest, a zone before house and lot line, then by name."""
    return round(distance, 6), name in {HOUSE, LOT}, name


def _breaks(near: Sequence[_Facing], length: float) -> list[float]:
    places = [0.0]
    for place in sorted({one.low for one in near} | {one.high for one in near}):
        if place - places[-1] > _SAME and length - place > _SAME:
            places.append(place)
    return [*places, length]


def _stretches(pieces: Iterable[_Piece], gap: float) -> list[_Piece]:
    """Pieces of one ring joined to stretches: where they run on, and across bits of noise shorter than the gap."""
    joined = _run_on(list(pieces))
    count = len(joined)
    for place, piece in enumerate(joined):
        before, after = joined[place - 1], joined[(place + 1) % count]
        if count > 1 and piece.length < gap and before.neighbor == after.neighbor:
            joined[place] = replace(piece, neighbor=before.neighbor)
    return _run_on(joined)


def _run_on(pieces: list[_Piece]) -> list[_Piece]:
    joined: list[_Piece] = []
    for piece in pieces:
        if joined and joined[-1].neighbor == piece.neighbor:
            joined[-1] = _joined(joined[-1], piece)
        else:
            joined.append(piece)
    if len(joined) > 1 and joined[0].neighbor == joined[-1].neighbor:
        joined[0] = _joined(joined.pop(), joined[0])
    return joined


def _joined(one: _Piece, other: _Piece) -> _Piece:
    return _Piece(
        one.neighbor,
        one.length + other.length,
        one.curved + other.curved,
        one.gap + other.gap,
        one.path + other.path[1:],
    )


def _edge(names: Sequence[str], owner: int, stretch: _Piece) -> SharedEdge:
    return SharedEdge(
        zone=names[owner],
        neighbor=GROUND if stretch.neighbor < 0 else names[stretch.neighbor],
        length=stretch.length,
        curved_length=stretch.curved,
        gap=stretch.gap / stretch.length,
        corner=stretch.length < CORNER,
        path=stretch.path,
    )
