"""The tree by which 12 V lights hang on their transformers: the least cable under a bound, or as somebody said."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Any
from uuid import UUID

import numpy as np

from app.domain.job import Feature, Work
from app.domain.plan.arcs import Point
from app.domain.takeoff.cable_ways import Line, Way, lengths, way_between

TRANSFORMER = "transformer"
LEAST_SAVED = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """A light (or several alike at one place) where it stands; `mounting` is path, step, wall, up or transformer."""

    feature: Feature
    work: Work
    mounting: str
    at: Point

    @property
    def where(self) -> str:
        """The key of its place."""
        return f"feature:{self.feature.id}"


@dataclass(frozen=True, slots=True)
class Leg:
    """A cable to a light from a transformer or another light, with its way on the plan."""

    light: Light
    start: Light
    way: Way

    @property
    def long(self) -> float:
        """How long its way is [ft], without slack."""
        return self.way.length


def strung(
    lights: Sequence[Light], loads: Sequence[float], most: float = inf, lines: Mapping[UUID, Line] | None = None
) -> tuple[Leg, ...]:
    """The legs by which lights hang on their transformers, outward; none without a transformer.

    Each light first has a cable of its own to the nearest transformer; then whatever saves most cable is joined to
    another, while no cable that leaves a transformer carries more than `most` of the `loads` [VA, in the order of the
    lights that are fed]. Without such a bound it is the shortest tree. `lines` are what the cables of a transformer
    follow, by its feature. Source: L. Esau, K. Williams, On teleprocessing system design II, IBM Systems Journal 5
    (1966), from memory.
    """
    followed = lines or {}
    sources = [one for one in lights if one.mounting == TRANSFORMER]
    open_ones = [one for one in lights if one.mounting != TRANSFORMER]
    if not sources or not open_ones:
        return ()
    places = [one.at for one in open_ones]
    ways = [lengths(followed.get(one.feature.id), places, [one.at])[:, 0] for one in sources]
    to_source = np.stack(ways, axis=1)
    nearest = to_source.argmin(axis=1)
    apart = lengths(None, places, places)
    for number, one in enumerate(sources):
        own = nearest == number
        line = followed.get(one.feature.id)
        if line is not None and own.any():
            group = [place for place, belongs in zip(places, own, strict=True) if belongs]
            apart[np.ix_(own, own)] = lengths(line, group, group)
    joined, gates = _joined(apart, to_source.min(axis=1), np.array(loads, dtype=float), most)
    hung: list[tuple[Light, Light]] = []  # a light and what feeds it
    for gate in sorted(gates):
        hung.append((open_ones[gate], sources[int(nearest[gate])]))
        hung += _outward(open_ones, joined, gate)
    return _along(_as_said(hung, lights), followed)


def _along(hung: Sequence[tuple[Light, Light]], lines: Mapping[UUID, Line]) -> tuple[Leg, ...]:
    """The legs with their ways, each along the line of the transformer it hangs on; from that outward."""
    root: dict[UUID, UUID] = {}
    found = []
    for light, start in hung:
        root[light.feature.id] = root.get(start.feature.id, start.feature.id)
        found.append(Leg(light, start, way_between(lines.get(root[light.feature.id]), start.at, light.at)))
    return tuple(found)


def _as_said(hung: Sequence[tuple[Light, Light]], lights: Sequence[Light]) -> Sequence[tuple[Light, Light]]:
    """Lights hung where somebody said, each with all behind it; what would make a ring stays as found."""
    if all(light.feature.fed_from is None for light, _ in hung):
        return hung
    by_id = {one.feature.id: one for one in lights}
    start = {light.feature.id: fed_by for light, fed_by in hung}
    for light, _ in hung:
        said_start = by_id.get(light.feature.fed_from) if light.feature.fed_from else None
        if said_start is not None and not _hangs_on(said_start, light, start):
            start[light.feature.id] = said_start
    beside: dict[UUID, list[Light]] = {}
    for light, _ in hung:
        beside.setdefault(start[light.feature.id].feature.id, []).append(light)
    waiting = [one for one in lights if one.mounting == TRANSFORMER]
    found: list[tuple[Light, Light]] = []
    while waiting:
        one = waiting.pop(0)
        for light in beside.get(one.feature.id, ()):
            found.append((light, one))
            waiting.append(light)
    return found


def _hangs_on(one: Light, other: Light, start: Mapping[UUID, Light]) -> bool:
    """Whether a light is another one, or is fed through it."""
    at: Light | None = one
    while at is not None and at.feature.id != other.feature.id:
        at = start.get(at.feature.id)
    return at is not None


def _joined(apart: Any, own: Any, loads: Any, most: float) -> tuple[Mapping[int, list[int]], set[int]]:
    """Which lights are joined to which, and those that a cable from a transformer leads to."""
    count = len(own)
    group, gate_cost, gate = np.arange(count), own.copy(), np.arange(count)  # by light: its group, that group's cable
    load = loads.copy()  # of each light's group
    beside: dict[int, list[int]] = {one: [] for one in range(count)}
    while True:
        saved = gate_cost[:, None] - apart
        barred = (group[:, None] == group[None, :]) | (load[:, None] + load[None, :] > most + LEAST_SAVED)
        saved[barred] = -inf
        one, other = np.unravel_index(int(saved.argmax()), saved.shape)
        if saved[one, other] <= LEAST_SAVED:
            return beside, {int(found) for found in gate}
        beside[int(one)].append(int(other))
        beside[int(other)].append(int(one))
        both = (group == group[one]) | (group == group[other])
        group[both], load[both] = group[other], load[one] + load[other]
        gate_cost[both], gate[both] = gate_cost[other], gate[other]


def _outward(lights: Sequence[Light], beside: Mapping[int, list[int]], gate: int) -> Iterator[tuple[Light, Light]]:
    waiting, reached = [gate], {gate}
    while waiting:
        start = waiting.pop(0)
        for place in sorted(one for one in beside[start] if one not in reached):
            reached.add(place)
            waiting.append(place)
            yield lights[place], lights[start]
