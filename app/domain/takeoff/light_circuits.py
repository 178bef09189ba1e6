"""The 12 V lights of a plan: how each is mounted, which cable feeds it, what voltage arrives there.

Circuits follow from where lights and transformers stand: the least cable by straight lines, with slack at each light,
while no cable that leaves a transformer carries more than the firm's rule allows. What is in the way of a cable, and
which tap is taken, the crew decides in the yard.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import dist, inf
from typing import Any
from uuid import UUID

import numpy as np
import shapely

from app.domain.basis import Assembly, Basis
from app.domain.errors import OutlayError
from app.domain.job import Feature, Job, PlaceKind, Work
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.arcs import Point
from app.domain.plan.outline import Outline, chords
from app.domain.trades.lighting import MOST_LIGHTS, STRANDED, Piece, supplies, voltages

# how a light is mounted, by the role of the part that it is
MOUNTED: Mapping[str, str] = {"path light": "path", "step light": "step", "wall light": "wall", "spot light": "up"}
TRANSFORMER = "transformer"
CABLE = "low-voltage cable"
USUAL_GAUGE = "12"
TAP = 12.0  # V
# where the firm's rules do not say. Sources as the rules
WATTS, POWER_FACTOR, SLACK, LEAST_VOLTS, LOADED, RUN_LOAD = 4.0, 0.73, 2.0, 10.8, 0.8, 60.0
LEAST_SAVED = 1e-9
BESIDE = 0.25  # ft: a cable this near to the edge of a ground runs beside it


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
    """A cable to a light from a transformer or another light, straight [ft]."""

    light: Light
    start: Light
    straight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed:
    """A light with its cable: its length with slack [ft], what arrives [V], its legs from the transformer."""

    leg: Leg
    length: float
    volts: float | None  # None: not worked out, the circuit says why
    steps: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """What one transformer feeds: lights from it outward, the load [VA], what keeps its voltages from being told."""

    source: Light
    fed: tuple[Fed, ...]
    load: float
    gauge: str
    refused: str = ""

    @property
    def lights(self) -> int:
        """How many lights hang on it."""
        return sum(one.leg.light.feature.count for one in self.fed)

    @property
    def lowest(self) -> float | None:
        """The lowest voltage at a light; None where none is known."""
        known = [one.volts for one in self.fed if one.volts is not None]
        return min(known, default=None)

    @property
    def trench(self) -> float:
        """The way of all its cables in the ground [ft], without the slack."""
        return sum(one.leg.straight for one in self.fed)

    @property
    def cable(self) -> float:
        """All its cable [ft]."""
        return sum(one.length for one in self.fed)

    def transformers(self, size: float, share: float = LOADED) -> int:
        """How many transformers of a size [VA] its load takes at no more than a share of each."""
        return supplies(self.load, size, share)


def mounting_of(assembly: Assembly) -> str:
    """How a recipe's light is mounted; "transformer" for what feeds them; empty for what is neither."""
    roles = {part.role for part in assembly.parts}
    return TRANSFORMER if TRANSFORMER in roles else next((MOUNTED[role] for role in MOUNTED if role in roles), "")


def recipes_of_lights(basis: Basis) -> tuple[Assembly, ...]:
    """Recipes that set a light or a transformer at a point, lights first."""
    found = [one for one in basis.assemblies.values() if one.measures == "feature" and mounting_of(one)]
    return tuple(sorted(found, key=lambda one: (mounting_of(one) == TRANSFORMER, one.title)))


_MOUNTED: KeptByInputs[Mapping[str, str]] = KeptByInputs(8)


def _mounted(basis: Basis) -> Mapping[str, str]:
    return _MOUNTED.get_or_make(
        0, (Same(basis.assemblies),), lambda: {one.key: mounting_of(one) for one in recipes_of_lights(basis)}
    )


def lights_of(job: Job, basis: Basis) -> tuple[Light, ...]:
    """Lights and transformers that stand on the plan, in the order of its things."""
    mounted = _mounted(basis)
    works = {work.place_id: work for work in job.works if work.place is PlaceKind.FEATURE and work.assembly in mounted}
    found = ((feature, works.get(feature.id)) for feature in job.features)
    return tuple(
        Light(feature=feature, work=work, mounting=mounted[work.assembly], at=(feature.x, feature.y))
        for feature, work in found
        if work is not None and feature.x is not None and feature.y is not None
    )


def strung(lights: Sequence[Light], loads: Sequence[float], most: float = inf) -> tuple[Leg, ...]:
    """The legs by which lights hang on their transformers, outward; none without a transformer.

    Each light first has a cable of its own to the nearest transformer; then whatever saves most cable is joined to
    another, while no cable that leaves a transformer carries more than `most` of the `loads` [VA, in the order of the
    lights that are fed]. Without such a bound it is the shortest tree. Source: L. Esau, K. Williams, On teleprocessing
    system design II, IBM Systems Journal 5 (1966), from memory.
    """
    sources = [one for one in lights if one.mounting == TRANSFORMER]
    open_ones = [one for one in lights if one.mounting != TRANSFORMER]
    if not sources or not open_ones:
        return ()
    at, from_at = (np.array([one.at for one in group], dtype=float) for group in (open_ones, sources))
    to_source = np.hypot(*(at[:, None, :] - from_at[None, :, :]).transpose(2, 0, 1))
    apart = np.hypot(*(at[:, None, :] - at[None, :, :]).transpose(2, 0, 1))
    joined, gates = _joined(apart, to_source.min(axis=1), np.array(loads, dtype=float), most)
    legs: list[Leg] = []
    for gate in sorted(gates):
        start = sources[int(to_source[gate].argmin())]
        legs += _outward(open_ones, joined, gate, Leg(open_ones[gate], start, float(to_source[gate].min())))
    return tuple(legs) if all(one.feature.fed_from is None for one in open_ones) else _as_said(legs, lights)


def _as_said(legs: Sequence[Leg], lights: Sequence[Light]) -> tuple[Leg, ...]:
    """The legs with lights hung where somebody said, each with all behind it; what would make a ring stays as found."""
    by_id = {one.feature.id: one for one in lights}
    start = {leg.light.feature.id: leg.start for leg in legs}
    for leg in legs:
        said_start = by_id.get(leg.light.feature.fed_from) if leg.light.feature.fed_from else None
        if said_start is not None and not _hangs_on(said_start, leg.light, start):
            start[leg.light.feature.id] = said_start
    beside: dict[UUID, list[Light]] = {}
    for leg in legs:
        beside.setdefault(start[leg.light.feature.id].feature.id, []).append(leg.light)
    waiting = [one for one in lights if one.mounting == TRANSFORMER]
    found: list[Leg] = []
    while waiting:
        one = waiting.pop(0)
        for light in beside.get(one.feature.id, ()):
            found.append(Leg(light, one, dist(one.at, light.at)))
            waiting.append(light)
    return tuple(found)


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


def _outward(lights: Sequence[Light], beside: Mapping[int, list[int]], gate: int, first: Leg) -> Iterator[Leg]:
    yield first
    waiting, reached = [gate], {gate}
    while waiting:
        start = waiting.pop(0)
        for place in sorted(one for one in beside[start] if one not in reached):
            reached.add(place)
            waiting.append(place)
            yield Leg(lights[place], lights[start], dist(lights[place].at, lights[start].at))


def legs_of(job: Job, basis: Basis) -> tuple[Leg, ...]:
    """The legs of a job's lights, as the firm's rules bound the load of a cable."""
    return _legs(lights_of(job, basis), basis)


def _legs(lights: Sequence[Light], basis: Basis) -> tuple[Leg, ...]:
    each = said(basis, "light-watts", WATTS) / said(basis, "light-power-factor", POWER_FACTOR)
    loads = [one.feature.count * each for one in lights if one.mounting != TRANSFORMER]
    return strung(lights, loads, said(basis, "light-run-load", RUN_LOAD))


_CIRCUITS: KeptByInputs[tuple[Circuit, ...]] = KeptByInputs(64)


def circuits(job: Job, basis: Basis) -> tuple[Circuit, ...]:
    """The circuits of a job's plan, one a transformer, in the order of its things; kept by what they rest on."""
    lights = lights_of(job, basis)
    rests_on = (lights, Same(basis.rules), Same(basis.materials))
    return _CIRCUITS.get_or_make(job.head.id, rests_on, lambda: _circuits(lights, basis))


def _circuits(lights: Sequence[Light], basis: Basis) -> tuple[Circuit, ...]:
    legs = _legs(lights, basis)
    sources = [one for one in lights if one.mounting == TRANSFORMER]
    by_source: dict[UUID, list[Leg]] = {one.feature.id: [] for one in sources}
    root = {one.feature.id: one.feature.id for one in sources}
    for leg in legs:
        root[leg.light.feature.id] = root[leg.start.feature.id]
        by_source[root[leg.light.feature.id]].append(leg)
    return tuple(_circuit(source, by_source[source.feature.id], basis) for source in sources)


def _circuit(source: Light, legs: Sequence[Leg], basis: Basis) -> Circuit:
    gauge, slack = gauge_of(source.work), said(basis, "light-slack", SLACK)
    lengths = [leg.straight + slack for leg in legs]
    watts, factor = said(basis, "light-watts", WATTS), said(basis, "light-power-factor", POWER_FACTOR)
    volts, refused = _volts(source, legs, lengths, (gauge, watts, factor))
    steps: dict[UUID, int] = {source.feature.id: 0}
    for leg in legs:
        steps[leg.light.feature.id] = steps[leg.start.feature.id] + 1
    fed = zip(legs, lengths, volts, strict=True)
    return Circuit(
        source=source,
        fed=tuple(Fed(leg=leg, length=length, volts=at, steps=steps[leg.light.feature.id]) for leg, length, at in fed),
        load=sum(leg.light.feature.count for leg in legs) * watts / factor,
        gauge=gauge,
        refused=refused,
    )


def _volts(
    source: Light, legs: Sequence[Leg], lengths: Sequence[float], lamp: tuple[str, float, float]
) -> tuple[Sequence[float | None], str]:
    """What arrives at the end of each leg [V], or nothing and the sentence why."""
    gauge, watts, factor = lamp
    if not legs:
        return (), ""
    if len(legs) > MOST_LIGHTS:
        return [None] * len(legs), f"{len(legs)} lights hang on one transformer; {MOST_LIGHTS} are worked out at most."
    pieces = [
        Piece(
            name=str(leg.light.feature.id),
            start="source" if leg.start is source else str(leg.start.feature.id),
            length=length,
            gauge=gauge,
            watts=watts * leg.light.feature.count,
            power_factor=factor,
        )
        for leg, length in zip(legs, lengths, strict=True)
    ]
    try:
        return [one.volts for one in voltages(pieces, TAP)], ""
    except OutlayError as wrong:
        titles = {str(leg.light.feature.id): leg.light.feature.title or "a light" for leg in legs}
        sentence = wrong.sentence
        for name, title in titles.items():
            sentence = sentence.replace(name, title)
        return [None] * len(legs), sentence


def below(circuit: Circuit, grounds: Sequence[Outline]) -> float:
    """How much of a circuit's cables runs below some grounds [ft], by straight lines, but for their very edges.

    Source: geometry.
    """
    shapes = [chords(one).polygon.buffer(-BESIDE) for one in grounds]
    if not shapes or not circuit.fed:
        return 0.0
    lines = shapely.linestrings([(one.leg.start.at, one.leg.light.at) for one in circuit.fed])
    parts = shapely.get_parts(shapely.intersection(lines, shapely.union_all(shapes)))
    return sum(float(one.length) for one in parts)


def gauge_of(work: Work) -> str:
    """The gauge of the cable that was chosen with a transformer (`cable-10` is 10); the usual one where none was."""
    named = work.finishes.get(CABLE, "").rpartition("-")[2]
    return named if named in STRANDED else USUAL_GAUGE


def said(basis: Basis, rule: str, otherwise: float) -> float:
    """A figure of the firm's rules, where it is one that can be."""
    one = basis.rules.get(rule)
    return one.value if one and one.value > 0 else otherwise
