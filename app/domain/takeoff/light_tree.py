"""The tree by which 12 V lights hang on their transformers: the least cable under a bound, or as somebody said."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import dist, inf
from typing import Any
from uuid import UUID

import numpy as np

from app.domain.job import Feature, Work
from app.domain.plan.arcs import Point
from app.domain.takeoff.cable_network import Network, straight_lengths
from app.domain.takeoff.cable_ways import Way

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

    @property
    def key(self) -> str:
        """What it goes by among lights and tees."""
        return str(self.feature.id)

    @property
    def title(self) -> str:
        """Its name on the page."""
        return self.feature.title or "A light"


@dataclass(frozen=True, slots=True)
class Tee:
    """A buried splice where lines meet, at which a cable parts: what transformer feeds it, and its number there."""

    source: Light
    number: int
    at: Point

    @property
    def key(self) -> str:
        """What it goes by, other than any light."""
        return f"{self.source.key} tee {self.number}"

    @property
    def title(self) -> str:
        """Its name on the page."""
        return f"Tee {self.number}"


@dataclass(frozen=True, slots=True)
class Leg:
    """A cable to a light or a tee from a transformer, a light or a tee, with its way on the plan."""

    end: Light | Tee
    start: Light | Tee
    way: Way

    @property
    def long(self) -> float:
        """How long its way is [ft], without slack."""
        return self.way.length


Hung = Sequence[tuple[Light | Tee, Light | Tee]]  # a light or tee and what feeds it, outward


@dataclass(frozen=True, slots=True, kw_only=True)
class Strung:
    """By what cables are strung: lights with what each takes [VA] or weighs, the most a cable carries, slack a cable.

    `networks` are the lines that the cables of a transformer follow, by its feature.
    """

    loads: Sequence[float]
    most: float = inf
    networks: Mapping[UUID, Network] = field(default_factory=dict)
    slack: float = 0.0  # ft


def strung(lights: Sequence[Light], by: Strung) -> tuple[Leg, ...]:
    """The legs by which lights hang on their transformers, outward; none without a transformer.

    Each light first has a cable of its own to the nearest transformer; then whatever saves most cable is joined to
    another, while no cable that leaves a transformer carries more than `most` of the `loads` [in the order of the
    lights that are fed]. Without such a bound it is the shortest tree. Where lines meet a cable may part at a tee, if
    that takes less cable than without. Source: L. Esau, K. Williams, On teleprocessing system design II, IBM Systems
    Journal 5 (1966), from memory.
    """
    sources = [one for one in lights if one.mounting == TRANSFORMER]
    fed = [one for one in lights if one.mounting != TRANSFORMER]
    if not sources or not fed:
        return ()
    nearest = _nearest(fed, sources, by.networks)
    tees = [
        Tee(source, number, at)
        for place, source in enumerate(sources)
        if source.feature.id in by.networks and place in nearest
        for number, at in enumerate(by.networks[source.feature.id].tees, 1)
    ]
    plain = _along(_as_said(_hung(fed, (), sources, by), lights), by.networks)
    if not tees:
        return plain
    parting = _numbered(_along(_passed(_as_said(_hung(fed, tees, sources, by), lights)), by.networks))
    return min(plain, parting, key=lambda legs: round(sum(leg.long + by.slack for leg in legs), 6))


def _ways(network: Network | None, places: Sequence[Point], others: Sequence[Point]) -> Any:
    return network.lengths(places, others) if network else straight_lengths(places, others)


def _nearest(fed: Sequence[Light], sources: Sequence[Light], networks: Mapping[UUID, Network]) -> list[int]:
    """The number of the transformer that each light is nearest to, by cable."""
    return [int(one) for one in _to_sources(fed, sources, networks).argmin(axis=1)]


def _to_sources(fed: Sequence[Light | Tee], sources: Sequence[Light], networks: Mapping[UUID, Network]) -> Any:
    places = [one.at for one in fed]
    ways = [_ways(networks.get(one.feature.id), places, [one.at])[:, 0] for one in sources]
    return np.stack(ways, axis=1)


def _hung(fed: Sequence[Light], tees: Sequence[Tee], sources: Sequence[Light], by: Strung) -> Hung:
    """Lights and tees, each with what feeds it, outward."""
    ends: list[Light | Tee] = [*fed, *tees]
    places = [one.at for one in ends]
    to_source = _to_sources(ends, sources, by.networks)
    number = {one.feature.id: place for place, one in enumerate(sources)}
    for place, tee in enumerate(tees, len(fed)):
        others = np.arange(len(sources)) != number[tee.source.feature.id]
        to_source[place, others] = inf
    nearest = to_source.argmin(axis=1)
    apart = straight_lengths(places, places)
    if tees:
        apart[nearest[:, None] != nearest[None, :]] = inf  # no tee serves the lights of another transformer
    for place, one in enumerate(sources):
        own, network = nearest == place, by.networks.get(one.feature.id)
        if network is not None and own.any():
            group = [at for at, belongs in zip(places, own, strict=True) if belongs]
            apart[np.ix_(own, own)] = network.lengths(group, group)
    loads = np.array([*by.loads, *[0.0] * len(tees)])
    joined, gates = _joined(apart, to_source.min(axis=1), loads, by.most)
    hung: list[tuple[Light | Tee, Light | Tee]] = []
    for gate in sorted(gates):
        hung.append((ends[gate], sources[int(nearest[gate])]))
        hung += _outward(ends, joined, gate)
    return hung


def _passed(hung: Hung) -> Hung:
    """The same without tees at which no cable parts: what they feed hangs on what feeds them."""
    found = list(hung)
    while True:
        behind: dict[str, int] = {}
        for _, start in found:
            behind[start.key] = behind.get(start.key, 0) + 1
        idle = next(((one, start) for one, start in found if isinstance(one, Tee) and behind.get(one.key, 0) < 2), None)
        if idle is None:
            return found
        tee, before = idle
        found = [(one, before if start is tee else start) for one, start in found if one is not tee]


def _numbered(legs: Sequence[Leg]) -> tuple[Leg, ...]:
    """The same with the tees of each transformer numbered as they are met, outward."""
    fresh: dict[str, Tee] = {}
    for leg in legs:
        if isinstance(leg.end, Tee):
            number = 1 + sum(one.source is leg.end.source for one in fresh.values())
            fresh[leg.end.key] = replace(leg.end, number=number)
    return tuple(Leg(fresh.get(leg.end.key, leg.end), fresh.get(leg.start.key, leg.start), leg.way) for leg in legs)


def _along(hung: Hung, networks: Mapping[UUID, Network]) -> tuple[Leg, ...]:
    """The legs with their ways, each along the lines of the transformer it hangs on; from that outward."""
    root: dict[str, Light] = {}
    found = []
    for one, start in hung:
        source = root.get(start.key, start)
        assert isinstance(source, Light)
        root[one.key] = source
        network = networks.get(source.feature.id)
        way = network.way(start.at, one.at) if network else Way((start.at, one.at), dist(start.at, one.at))
        found.append(Leg(one, start, way))
    return tuple(found)


def _as_said(hung: Hung, lights: Sequence[Light]) -> Hung:
    """Lights hung where somebody said, each with all behind it; what would make a ring stays as found."""
    said = [one for one, _ in hung if isinstance(one, Light) and one.feature.fed_from]
    if not said:
        return hung
    by_id = {one.feature.id: one for one in lights}
    start = {one.key: fed_by for one, fed_by in hung}
    for light in said:
        said_start = by_id.get(light.feature.fed_from) if light.feature.fed_from else None
        if said_start is not None and not _hangs_on(said_start, light, start):
            start[light.key] = said_start
    beside: dict[str, list[Light | Tee]] = {}
    for one, _ in hung:
        beside.setdefault(start[one.key].key, []).append(one)
    waiting: list[Light | Tee] = [one for one in lights if one.mounting == TRANSFORMER]
    found: list[tuple[Light | Tee, Light | Tee]] = []
    while waiting:
        before = waiting.pop(0)
        for one in beside.get(before.key, ()):
            found.append((one, before))
            waiting.append(one)
    return found


def _hangs_on(one: Light, other: Light, start: Mapping[str, Light | Tee]) -> bool:
    """Whether a light is another one, or is fed through it."""
    at: Light | Tee | None = one
    while at is not None and at.key != other.key:
        at = start.get(at.key)
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


def _outward(
    ends: Sequence[Light | Tee], beside: Mapping[int, list[int]], gate: int
) -> Iterator[tuple[Light | Tee, Light | Tee]]:
    waiting, reached = [gate], {gate}
    while waiting:
        start = waiting.pop(0)
        for place in sorted(one for one in beside[start] if one not in reached):
            reached.add(place)
            waiting.append(place)
            yield ends[place], ends[start]
