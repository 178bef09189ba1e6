"""Gas lines that are joined, as one system: its longest way from where the gas comes in, and what hangs on each line.

The longest length method of the fuel gas code sizes every stretch of a system by that one length, short branches too,
and by the heat of all that lies beyond it. Lines are joined where an end lies within `GAP` of another line. The gas
comes in at the end nearest to the house, to a gas line that is there, or to a bottle. What burns hangs on the line that
it stands at; where lines close a ring it is fed by the shorter way. Source: geometry; shortest ways by E. W. Dijkstra
(1959), from memory.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
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
REACH = 6.0  # ft: so near a line stands what hangs on it, where no rule says
NEAR = 1e-9  # ft
Drawn = list[tuple[Run, Any]]  # lines with their shape of the geometry library


@dataclass(frozen=True, slots=True, kw_only=True)
class Burner:
    """What burns gas and has a place: how far it reaches from its middle [ft], its heat [Btu/h]; None: not known."""

    key: UUID
    title: str
    at: Point
    half: float
    heat: float | None


@dataclass(frozen=True, slots=True)
class Carried:
    """What a drawn gas line goes by: the longest length of its system [ft], and all that burns beyond its source."""

    longest: float
    burners: tuple[Burner, ...] = ()

    @property
    def heat(self) -> float:
        """The heat of all of them that is known [Btu/h]."""
        return sum(one.heat or 0.0 for one in self.burners)

    @property
    def unknown(self) -> tuple[Burner, ...]:
        """Those whose heat nobody said."""
        return tuple(one for one in self.burners if one.heat is None)


@dataclass(frozen=True, slots=True)
class _Network:
    """Points of joined lines, the ways between them with the line each belongs to, and what burns at which point."""

    points: list[Point] = field(default_factory=list)
    ways: dict[int, list[tuple[int, float, UUID | None]]] = field(default_factory=dict)
    burners: dict[int, list[Burner]] = field(default_factory=dict)

    def number(self, at: Point) -> int:
        near = (n for n, one in enumerate(self.points) if shapely.points(one).distance(shapely.points(at)) < 1e-6)
        found = next(near, len(self.points))
        if found == len(self.points):
            self.points.append(at)
        return found

    def join(self, one: Point, other: Point, away: float, line: UUID | None) -> None:
        a, b = self.number(one), self.number(other)
        if a != b:
            self.ways.setdefault(a, []).append((b, away, line))
            self.ways.setdefault(b, []).append((a, away, line))


def carried_by(
    runs: Sequence[Run],
    sources: Any,
    burners: Sequence[Burner] = (),
    *,
    bottles: Sequence[Any] = (),
    reach: float = REACH,
) -> Mapping[UUID, Carried]:
    """By drawn line: the longest way [ft] of its system from where the gas comes in, and what burns beyond it.

    `sources` is the shape (of the geometry library) of everything gas may come from, `bottles` the places of bottles:
    what stands nearer to one than to a line is fed by it. A line farther than `reach` [ft] from a burner feeds it not.
    A line carries what hangs on it and on all that lies beyond; the most where it is not the same all along.
    """
    lines = [(run, shapely.linestrings(fine_points(run.points, run.rises))) for run in runs if len(run.points) > 1]
    hung = [(one, *_hangs_on(one, lines, bottles, reach)) for one in burners]
    found: dict[UUID, Carried] = {}
    for group in _systems(lines):
        own = {run.id for run, _ in group}
        network = _network(group, [(one, line, mark) for one, line, mark in hung if line in own])
        start = _start(network, sources)
        away, back = _ways_from(network, start)
        beyond = _beyond(network, away, back)
        far = max(away.values())
        found.update((run.id, Carried(far, beyond.get(run.id, ()))) for run, _ in group)
    return found


def _hangs_on(burner: Burner, lines: Drawn, bottles: Sequence[Any], reach: float) -> tuple[UUID | None, float]:
    """The line that feeds a burner and how far along it [ft]: of those as near as the nearest one that ends there."""
    place = shapely.points(burner.at)
    bottle = min((_away(burner, one.distance(place)) for one in bottles), default=inf)
    found: list[tuple[float, bool, float, int, float]] = []  # how far, whether no end, to the middle, which line, where
    for n, (_, line) in enumerate(lines):
        far = float(line.distance(place))
        found.append((_away(burner, far), True, far, n, float(line.project(place))))
        for end in line.boundary.geoms:
            far = float(end.distance(place))  # an end drawn a little short is meant for it
            found.append((max(0.0, _away(burner, far) - GAP), False, far, n, float(line.project(end))))
    within = [one for one in found if _away(burner, one[2]) <= reach + NEAR]
    least, _, _, n, mark = min(within, default=(inf, True, inf, 0, 0.0))
    if not within or bottle < least - NEAR:
        return None, 0.0
    return lines[n][0].id, mark


def _away(burner: Burner, far: Any) -> float:
    """From the rim of a burner [ft], by how far something lies from its middle."""
    return max(0.0, float(far) - burner.half)


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


def _network(group: Drawn, hung: Sequence[tuple[Burner, UUID | None, float]]) -> _Network:
    """The points of joined lines and what lies beside each: line by line, split where another or a burner meets it."""
    network = _Network()
    for place, (run, line) in enumerate(group):
        others = [other for n, (_, other) in enumerate(group) if n != place]
        here = [(one, mark) for one, on, mark in hung if on == run.id]
        marks = sorted({0.0, line.length, *_met_at(line, others), *(mark for _, mark in here)})
        for low, high in pairwise(marks):
            network.join(_at(line, low), _at(line, high), high - low, run.id)
        for one, other in _links(line, others):
            network.join(one, other, shapely.points(one).distance(shapely.points(other)), None)
        for burner, mark in here:
            network.burners.setdefault(network.number(_at(line, mark)), []).append(burner)
    return network


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


def _start(network: _Network, sources: Any) -> int:
    """The end where the gas comes in; where nothing says, one at which nothing burns."""
    ends = [number for number, beside in network.ways.items() if len(beside) == 1] or list(network.ways)

    def comes_in(one: int) -> tuple[float, bool, int]:
        away = 0.0 if sources.is_empty else round(float(shapely.points(network.points[one]).distance(sources)), 1)
        return away, one in network.burners, one

    return min(ends, key=comes_in)


def _ways_from(network: _Network, start: int) -> tuple[Mapping[int, float], Mapping[int, tuple[int, UUID | None]]]:
    """How far each point lies from one [ft], by the shortest way, and the last step to it: whence, along which line."""
    away, back = {start: 0.0}, dict[int, tuple[int, UUID | None]]()
    queue = [(0.0, start)]
    while queue:
        far, one = heappop(queue)
        if far > away[one]:
            continue
        for other, more, line in network.ways.get(one, ()):
            if far + more < away.get(other, inf):
                away[other], back[other] = far + more, (one, line)
                heappush(queue, (far + more, other))
    return away, back


def _beyond(
    network: _Network, away: Mapping[int, float], back: Mapping[int, tuple[int, UUID | None]]
) -> Mapping[UUID, tuple[Burner, ...]]:
    """What burns beyond each line, the nearest to the source first."""
    found: dict[UUID, list[Burner]] = {}
    for place in sorted(network.burners, key=lambda one: away.get(one, inf)):
        lines, one = dict[UUID, None](), place
        while one in back:
            one, line = back[one]
            if line is not None:
                lines[line] = None
        for line in lines:
            found.setdefault(line, []).extend(network.burners[place])
    return {line: tuple(burners) for line, burners in found.items()}
