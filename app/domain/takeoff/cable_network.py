"""The drawn lines that a transformer's cables follow, joined where they meet: the shortest way along them.

A place goes to the line it is nearest to. Lines meet where they cross or touch; an end that lies nearer than `GAP` to
another line is joined to it straight. A cable takes the lines where that is at most `DETOUR` times as long as the
straight way; else it goes straight.
Source: geometry; shortest ways between meets by R. Floyd, Algorithm 97, Communications of the ACM 5 (1962), from
memory.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import dist
from typing import Any

import numpy as np
import shapely

from app.domain.plan.arcs import Point
from app.domain.takeoff.cable_ways import NEAR, Line, Stretch, Way, line_through, met

DETOUR = 2.0  # times the straight way that a cable may be longer along lines. Assumption
NOWHERE = 1e9  # ft: no way leads there
GAP = 1.0  # ft: an end drawn this near to another line is meant to meet it. Assumption


@dataclass(frozen=True, slots=True)
class Meet:
    """A point where lines meet: how far along each of them it lies [ft], by the number of the line."""

    at: Point
    on: tuple[tuple[int, float], ...]


class Network:
    """Lines that cables follow, with the shortest ways between the points where they meet."""

    def __init__(self, lines: Sequence[Line]) -> None:
        """Join lines where they meet; short links are lines of their own."""
        links = tuple(_links(lines))
        self.lines = (*lines, *links)
        self.meets = _meets(self.lines)
        self._between, self._next = _shortest(self.meets)

    @property
    def tees(self) -> tuple[Point, ...]:
        """Where a cable may part: three stretches of line or more leave from there."""
        return tuple(one.at for one in self.meets if sum(map(self._arms, one.on)) > 2)

    def _arms(self, place: tuple[int, float]) -> int:
        number, along = place
        return int(along > NEAR) + int(along < self.lines[number].long - NEAR)

    def lengths(self, places: Sequence[Point], others: Sequence[Point]) -> Any:
        """The cable between each place and each other one [ft, array], along the lines where it takes them."""
        straight = straight_lengths(places, others)
        near, far = _Feet(self, places), _Feet(self, others)
        routed, on = near.direct_to(far)
        if self.meets:
            over, over_on, *_ = near.over_meets_to(far)
            shorter = over < routed - NEAR
            routed, on = np.where(shorter, over, routed), np.where(shorter, over_on, on)
        return np.where(_takes(on, routed, straight), routed, straight)

    def way(self, start: Point, end: Point) -> Way:
        """The way of a cable from one place to another.

        >>> way = Network([line_through((0, 0), (10, 0)), line_through((10, 0), (10, 10))]).way((0, 1), (11, 10))
        >>> way.points, way.length, way.on
        (((0, 1), (0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (11, 10)), 22.0, ((0, 0.0, 10.0), (1, 0.0, 10.0)))
        """
        near, far = _Feet(self, [start]), _Feet(self, [end])
        routed, on = (float(found[0, 0]) for found in near.direct_to(far))
        number = int((near.away[:, 0] + far.away[:, 0] + np.abs(near.along[:, 0] - far.along[:, 0])).argmin())
        steps = [(number, float(near.along[number, 0]), float(far.along[number, 0]))]
        if self.meets:
            over, over_on, first, last = near.over_meets_to(far)
            if over[0, 0] < routed - NEAR:
                routed, on = float(over[0, 0]), float(over_on[0, 0])
                steps = list(self._steps(near, far, int(first[0, 0]), int(last[0, 0])))
        straight = dist(start, end)
        if not _takes(on, routed, straight):
            return Way((start, end), straight)
        points = [start]
        for number, low, high in steps:
            passed = self.lines[number].between(low, high)
            points += passed if dist(points[-1], passed[0]) > NEAR or len(points) == 1 else passed[1:]
        taken: list[Stretch] = [(number, min(low, high), max(low, high)) for number, low, high in steps]
        return Way((*points, end), max(routed - on, 0.0), tuple(taken))

    def _steps(self, near: "_Feet", far: "_Feet", first: int, last: int) -> Iterator[Stretch]:
        """The stretches from a foot over meets to another foot, each from where it begins to where it ends."""
        number = int(near.line_to[0, first])
        passed = [first]
        while passed[-1] != last:
            passed.append(int(self._next[passed[-1], last]))
        begun = float(near.along[number, 0])
        steps = [(number, begun, _mark(self.meets[first], number, begun))]
        steps += [_shared(self.meets[one], self.meets[other]) for one, other in pairwise(passed)]
        number = int(far.line_to[0, last])
        ends = float(far.along[number, 0])
        steps.append((number, _mark(self.meets[last], number, ends), ends))
        yield from (step for step in steps if abs(step[1] - step[2]) > NEAR)


class _Feet:
    """Some places, where they come nearest to each line, and how far it is from them to each meet."""

    def __init__(self, network: Network, places: Sequence[Point]) -> None:
        found = [met(line, places) for line in network.lines]
        self.network = network
        self.along = np.array([one for one, _ in found])  # [line, place]
        away = np.array([one for _, one in found])
        self.away = np.where(away <= away.min(axis=0) + NEAR, away, NOWHERE)  # a place goes to its nearest line
        shape = (len(places), len(network.meets))
        self.to_meet, self.line_to = np.full(shape, NOWHERE), np.zeros(shape, dtype=int)
        for at, meet in enumerate(network.meets):
            for number, mark in meet.on:
                long = self.away[number] + np.abs(self.along[number] - mark)
                nearer = long < self.to_meet[:, at]
                self.to_meet[nearer, at], self.line_to[nearer, at] = long[nearer], number
        every = np.arange(len(places))[:, None]
        self.off = self.away[self.line_to, every]  # of the way to each meet, what lies off its line

    def direct_to(self, far: "_Feet") -> tuple[Any, Any]:
        """The shortest way along one line to other places: its length and what of it lies on the line [arrays]."""
        on = np.abs(self.along[:, :, None] - far.along[:, None, :])
        long = self.away[:, :, None] + far.away[:, None, :] + on
        best = long.argmin(axis=0)[None]
        return np.take_along_axis(long, best, 0)[0], np.take_along_axis(on, best, 0)[0]

    def over_meets_to(self, far: "_Feet") -> tuple[Any, Any, Any, Any]:
        """The same over meets, with the numbers of the first and the last one."""
        reach = self.to_meet[:, :, None] + self.network._between[None]  # noqa: SLF001 -- the same thing, kept apart
        first = reach.argmin(axis=1)
        long = np.take_along_axis(reach, first[:, None, :], 1)[:, 0][:, None, :] + far.to_meet[None]
        last = long.argmin(axis=2)
        total = np.take_along_axis(long, last[:, :, None], 2)[:, :, 0]
        begun = np.take_along_axis(first, last, 1)
        off = np.take_along_axis(self.off, begun, 1) + far.off[np.arange(len(far.off))[None], last]
        return total, total - off, begun, last


def straight_lengths(places: Sequence[Point], others: Sequence[Point]) -> Any:
    """The straight way between each place and each other one [ft, array]."""
    one, two = (np.array(group, dtype=float).reshape(-1, 2) for group in (places, others))
    return np.hypot(*(one[:, None, :] - two[None]).transpose(2, 0, 1))


def _takes(on: Any, routed: Any, straight: Any) -> Any:
    """Whether a cable takes the lines: something of them, and not too long a way round."""
    return (on > NEAR) & (routed <= straight * DETOUR)


def _links(lines: Sequence[Line]) -> Iterator[Line]:
    """Short lines from ends to the lines beside them, where they do not meet there already."""
    for number, line in enumerate(lines):
        for end in (line.points[0], line.points[-1]):
            for other in (one for place, one in enumerate(lines) if place != number):
                (along,), (away,) = met(other, [end])
                crossings = _crossings(line, other)
                if NEAR < away <= GAP and all(dist(end, crossing) > GAP for crossing in crossings):
                    yield line_through(end, other.at(float(along)))


def _crossings(one: Line, other: Line) -> Sequence[Point]:
    shared = shapely.intersection(shapely.linestrings(list(one.points)), shapely.linestrings(list(other.points)))
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(shared)]


def _meets(lines: Sequence[Line]) -> tuple[Meet, ...]:
    """Where lines cross, touch or lie upon one another (there: where that begins and ends), and where one closes."""
    found: list[Point] = []
    for one, other in combinations(lines, 2):
        found += _crossings(one, other)
        ends = ((one, other), (other, one))
        found += [end for line, past in ends for end in (line.points[0], line.points[-1]) if met(past, [end])[1] < NEAR]
    found += [line.points[0] for line in lines if dist(line.points[0], line.points[-1]) < NEAR]
    apart: list[Point] = []
    for point in found:
        if all(dist(point, known) > NEAR * 10 for known in apart):
            apart.append(point)
    return tuple(Meet(point, tuple(_places(lines, point))) for point in apart)


def _places(lines: Sequence[Line], point: Point) -> Iterator[tuple[int, float]]:
    """How far along each line a point lies that is on it; a closed line is met at both of its ends."""
    for number, line in enumerate(lines):
        (along,), (away,) = met(line, [point])
        if away < NEAR * 10:
            yield number, float(along)
            closed = dist(line.points[0], line.points[-1]) < NEAR
            if closed and min(along, line.long - along) < NEAR * 10:
                yield number, line.long - float(along)


def _mark(meet: Meet, number: int, along: float) -> float:
    """How far along a line a meet lies on it: of the two ends of a closed one, the nearer to `along`."""
    return min((mark for line, mark in meet.on if line == number), key=lambda mark: abs(mark - along))


def _shared(one: Meet, other: Meet) -> Stretch:
    """The shortest stretch of a line between two meets that both lie on it."""
    ways = [(abs(high - low), (a, low, high)) for a, low in one.on for b, high in other.on if a == b]
    return min(ways)[1]


def _shortest(meets: Sequence[Meet]) -> tuple[Any, Any]:
    """The shortest way between each two meets [ft, array], and the meet that each such way goes to next."""
    count = len(meets)
    between = np.full((count, count), NOWHERE)
    onward = np.tile(np.arange(count), (count, 1))
    for one, other in combinations(range(count), 2):
        ways = [abs(low - high) for a, low in meets[one].on for b, high in meets[other].on if a == b]
        between[one, other] = between[other, one] = min(ways, default=NOWHERE)
    np.fill_diagonal(between, 0.0)
    for over in range(count):
        longer = between[:, over, None] + between[None, over, :]
        better = longer < between - NEAR
        between = np.where(better, longer, between)
        onward = np.where(better, onward[:, over, None], onward)
    return between, onward
