"""Gas lines that are joined, as one system: the longest way from where the gas comes in to the farthest end.

The longest length method of the fuel gas code sizes every stretch of a system by that one length, short branches too.
Lines are joined where an end lies within `GAP` of another line. The gas comes in at the end nearest to the house, to a
gas line that is there, or to a bottle. Source: geometry; shortest ways by E. W. Dijkstra (1959), from memory.
"""

from collections.abc import Iterator, Mapping, Sequence
from heapq import heappop, heappush
from itertools import pairwise
from math import inf
from typing import Any
from uuid import UUID

import shapely

from app.domain.job import Run
from app.domain.plan.arcs import Point
from app.domain.plan.open_lines import fine_points

GAP = 1.0  # ft: an end drawn this near to another line is meant to meet it. Assumption
Ways = dict[int, list[tuple[int, float]]]  # by number of a point: the points beside it, and how far [ft]
Drawn = list[tuple[Run, Any]]  # lines with their shape of the geometry library


def longest_lengths(runs: Sequence[Run], sources: Any) -> Mapping[UUID, float]:
    """By drawn line: the longest way [ft] of the system it belongs to, from where the gas comes in.

    `sources` is the shape (of the geometry library) of everything gas may come from.
    """
    lines = [(run, shapely.linestrings(fine_points(run.points, run.rises))) for run in runs if len(run.points) > 1]
    found: dict[UUID, float] = {}
    for group in _systems(lines):
        points, ways = _network(group)
        ends = [number for number, beside in ways.items() if len(beside) == 1] or list(ways)
        start = min(ends, key=lambda one: (shapely.points(points[one]).distance(sources), one))
        far = _farthest(ways, start)
        found.update((run.id, far) for run, _ in group)
    return found


def _systems(lines: Drawn) -> list[Drawn]:
    """Lines in groups that are joined."""
    groups: list[Drawn] = []
    for one in lines:
        meets = [group for group in groups if any(_meet(one[1], other[1]) for other in group)]
        groups = [group for group in groups if group not in meets]
        groups.append([line for group in meets for line in group] + [one])
    return groups


def _meet(one: Any, other: Any) -> bool:
    return any(b.distance(end) <= GAP for a, b in ((one, other), (other, one)) for end in a.boundary.geoms)


def _network(group: Drawn) -> tuple[list[Point], Ways]:
    """The points of joined lines and what lies beside each: line by line, split where another one meets it."""
    points: list[Point] = []
    ways: Ways = {}

    def number(at: Point) -> int:
        near = next(
            (n for n, one in enumerate(points) if shapely.points(one).distance(shapely.points(at)) < 1e-6), None
        )
        if near is None:
            points.append(at)
        return len(points) - 1 if near is None else near

    def join(one: Point, other: Point, away: float) -> None:
        a, b = number(one), number(other)
        if a != b:
            ways.setdefault(a, []).append((b, away))
            ways.setdefault(b, []).append((a, away))

    for place, (_, line) in enumerate(group):
        others = [other for n, (_, other) in enumerate(group) if n != place]
        marks = sorted({0.0, line.length, *_met_at(line, others)})
        for low, high in pairwise(marks):
            join(_at(line, low), _at(line, high), high - low)
        for one, other in _links(line, others):
            join(one, other, shapely.points(one).distance(shapely.points(other)))
    return points, ways


def _met_at(line: Any, others: Sequence[Any]) -> Iterator[float]:
    """How far along a line [ft] the ends of others meet it."""
    for other in others:
        for end in other.boundary.geoms:
            if line.distance(end) <= GAP:
                yield float(line.project(end))


def _links(line: Any, others: Sequence[Any]) -> Iterator[tuple[Point, Point]]:
    """From each end of a line to the place of another that it was meant to meet."""
    for end in line.boundary.geoms:
        for other in others:
            if other.distance(end) <= GAP:
                yield (float(end.x), float(end.y)), _at(other, float(other.project(end)))


def _at(line: Any, mark: float) -> Point:
    found = line.interpolate(mark)
    return float(found.x), float(found.y)


def _farthest(ways: Ways, start: int) -> float:
    """The longest of the shortest ways from a point to all others [ft]."""
    away = {start: 0.0}
    queue = [(0.0, start)]
    while queue:
        far, one = heappop(queue)
        if far > away[one]:
            continue
        for other, more in ways.get(one, ()):
            if far + more < away.get(other, inf):
                away[other] = far + more
                heappush(queue, (far + more, other))
    return max(away.values())
