"""The 12 V lights of a plan: how each is mounted, which cable feeds it, what voltage arrives there.

Circuits follow from where lights and transformers stand: the least cable, straight or along the lines that the
transformer's cables follow, with slack at each light and tee, while no cable that leaves a transformer carries more
than the firm's rule allows. What a light takes is what was said of it, else the firm's rule. What is in the way of a
cable, and which tap is taken, the crew decides in the yard.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from uuid import UUID

import numpy as np
import shapely

from app.domain.basis import Assembly, Basis
from app.domain.errors import OutlayError
from app.domain.job import Feature, Job, PlaceKind, Run, Work
from app.domain.keeping import KeptByInputs, Same
from app.domain.plan.outline import Outline, chords
from app.domain.takeoff.cable_network import Network
from app.domain.takeoff.cable_ways import line_of, may_be_followed, trench
from app.domain.takeoff.light_tree import TRANSFORMER, Leg, Light, Strung, Tee, strung
from app.domain.trades.lighting import MOST_LIGHTS, STRANDED, AtLight, Piece, supplies, voltages

# how a light is mounted, by the role of the part that it is
MOUNTED: Mapping[str, str] = {"path light": "path", "step light": "step", "wall light": "wall", "spot light": "up"}
FILAMENT = "filament"
CABLE = "low-voltage cable"
USUAL_GAUGE = "12"
TAP = 12.0  # V
# where the firm's rules do not say. Sources as the rules
SPLICE = 2.0  # ft of its cable that the splices of a tee lose as much as: the rule light-splice
WATTS, POWER_FACTOR, SLACK, LEAST_VOLTS, LOADED, RUN_LOAD = 4.0, 0.73, 2.0, 10.8, 0.8, 60.0
FINE = 1 / 4096  # ft: points this near are one where ways are laid upon one another
BESIDE = 0.25  # ft: a cable this near to the edge of a ground runs beside it


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """A cable with what is at its end: its length with slack [ft], what arrives there [V], what runs through it [A]."""

    leg: Leg
    length: float
    volts: float | None  # None: not worked out, the circuit says why
    steps: int  # legs from the transformer
    amperes: float | None = None  # that of all behind it with it


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed(Cable):
    """A light with its cable and its lamp."""

    light: Light
    lamp: "Lamp"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """What each light at a place takes: `watts` at 12 V, and how that goes with the voltage.

    `steady` ones take the same at any (LED drivers), others less as it falls (filament lamps). `said`: somebody said
    the watts; else they are the firm's rule.
    """

    watts: float
    steady: bool
    power_factor: float
    said: bool

    @property
    def volt_amperes(self) -> float:
        """The load of one [VA]."""
        return self.watts / self.power_factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """What one transformer feeds: its cables from it outward, the load [VA], what keeps its voltages from being told.

    A cable that is no `Fed` ends at a tee, where lines meet.
    """

    source: Light
    cables: tuple[Cable, ...]
    load: float
    gauge: str
    refused: str = ""

    @property
    def fed(self) -> tuple[Fed, ...]:
        """Its lights, outward."""
        return tuple(one for one in self.cables if isinstance(one, Fed))

    @property
    def tees(self) -> int:
        """How many tees its cables have."""
        return sum(isinstance(one.leg.end, Tee) for one in self.cables)

    @property
    def lights(self) -> int:
        """How many lights hang on it."""
        return sum(one.light.feature.count for one in self.fed)

    @property
    def lowest(self) -> float | None:
        """The lowest voltage at a light; None where none is known."""
        known = [one.volts for one in self.fed if one.volts is not None]
        return min(known, default=None)

    @property
    def trench(self) -> float:
        """The ground opened for all its cables [ft], without slack; what they share of a line counts once."""
        return trench(one.leg.way for one in self.cables)

    @property
    def cable(self) -> float:
        """All its cable [ft]."""
        return sum(one.length for one in self.cables)

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


def legs_of(job: Job, basis: Basis) -> tuple[Leg, ...]:
    """The legs of a job's lights and tees, as the firm's rules bound the load of a cable."""
    return tuple(cable.leg for circuit in circuits(job, basis) for cable in circuit.cables)


def followed(lights: Sequence[Light], job: Job, basis: Basis) -> Mapping[UUID, tuple[Run, ...]]:
    """The drawn runs that cables follow, by transformer; one that is gone or may not be is followed by none."""
    if not any(one.feature.along or one.feature.along_ids for one in lights):
        return {}
    runs = may_be_followed(job, basis)
    found = {one.feature.id: tuple(run for run in runs if run.id in named_by(one.feature)) for one in lights}
    return {key: own for key, own in found.items() if own}


def named_by(source: Feature) -> Collection[UUID]:
    """The runs that a transformer's cables were said to follow."""
    return {*source.along_ids, *([source.along] if source.along else [])}


def networks_of(followed_runs: Mapping[UUID, Sequence[Run]]) -> Mapping[UUID, Network]:
    """Those runs joined where they meet, by transformer."""
    lines = {key: [line for run in runs if (line := line_of(run))] for key, runs in followed_runs.items()}
    return {key: Network(found) for key, found in lines.items() if found}


def _legs(lights: Sequence[Light], basis: Basis, runs: Mapping[UUID, Sequence[Run]]) -> tuple[Leg, ...]:
    loads = [
        one.feature.count * lamp_of(one.feature, basis).volt_amperes for one in lights if one.mounting != TRANSFORMER
    ]
    most, slack = said(basis, "light-run-load", RUN_LOAD), said(basis, "light-slack", SLACK)
    return strung(lights, Strung(loads=loads, most=most, networks=networks_of(runs), slack=slack))


def lamp_of(feature: Feature, basis: Basis) -> Lamp:
    """What each light at a place takes, by what was said of it and else by the firm's rules."""
    steady = feature.lamp != FILAMENT
    usual = said(basis, "light-watts", WATTS)
    factor = said(basis, "light-power-factor", POWER_FACTOR) if steady else 1.0  # a filament is a plain resistance
    return Lamp(watts=feature.watts or usual, steady=steady, power_factor=factor, said=feature.watts is not None)


_CIRCUITS: KeptByInputs[tuple[Circuit, ...]] = KeptByInputs(64)


def circuits(job: Job, basis: Basis) -> tuple[Circuit, ...]:
    """The circuits of a job's plan, one a transformer, in the order of its things; kept by what they rest on."""
    lights = lights_of(job, basis)
    runs = followed(lights, job, basis)
    rests_on = (lights, tuple(runs.items()), Same(basis.rules), Same(basis.materials))
    return _CIRCUITS.get_or_make(job.head.id, rests_on, lambda: _circuits(lights, basis, runs))


def _circuits(lights: Sequence[Light], basis: Basis, runs: Mapping[UUID, Sequence[Run]]) -> tuple[Circuit, ...]:
    legs = _legs(lights, basis, runs)
    sources = [one for one in lights if one.mounting == TRANSFORMER]
    by_source: dict[str, list[Leg]] = {one.key: [] for one in sources}
    root = {one.key: one.key for one in sources}
    for leg in legs:
        root[leg.end.key] = root[leg.start.key]
        by_source[root[leg.end.key]].append(leg)
    return tuple(_circuit(source, by_source[source.key], basis) for source in sources)


def _circuit(source: Light, legs: Sequence[Leg], basis: Basis) -> Circuit:
    gauge, slack = gauge_of(source.work), said(basis, "light-slack", SLACK)
    pieces = [_piece(leg, source, gauge, slack, basis) for leg in legs]
    arrives, refused = _arrives(legs, _with_splices(legs, pieces, said(basis, "light-splice", SPLICE)))
    steps = {source.key: 0}
    cables = []
    for leg, piece, at in zip(legs, pieces, arrives, strict=True):
        steps[leg.end.key] = steps[leg.start.key] + 1
        cable = Cable(
            leg=leg,
            length=piece.length,
            volts=at.volts if at else None,
            amperes=at.amperes if at else None,
            steps=steps[leg.end.key],
        )
        cables.append(_with_light(cable, basis))
    load = sum(one.light.feature.count * one.lamp.volt_amperes for one in cables if isinstance(one, Fed))
    return Circuit(source=source, cables=tuple(cables), load=load, gauge=gauge, refused=refused)


def _with_light(cable: Cable, basis: Basis) -> Cable:
    end = cable.leg.end
    if isinstance(end, Tee):
        return cable
    known = {one.name: getattr(cable, one.name) for one in fields(cable)}
    return Fed(**known, light=end, lamp=lamp_of(end.feature, basis))


def _piece(leg: Leg, source: Light, gauge: str, slack: float, basis: Basis) -> Piece:
    """A leg as a piece of its circuit; a tee takes nothing itself."""
    start = "source" if leg.start is source else leg.start.key
    piece = Piece(name=leg.end.key, start=start, length=leg.long + slack, gauge=gauge, watts=0.0)
    if isinstance(leg.end, Tee):
        return piece
    lamp = lamp_of(leg.end.feature, basis)
    watts = lamp.watts * leg.end.feature.count
    return replace(piece, watts=watts, steady=lamp.steady, power_factor=lamp.power_factor)


def _with_splices(legs: Sequence[Leg], pieces: Sequence[Piece], as_long: float) -> Sequence[Piece]:
    """The pieces as a current meets them: a tee's splices lose as much as so much more of its cable [ft]."""
    pairs = zip(legs, pieces, strict=True)
    return [replace(one, length=one.length + as_long) if isinstance(leg.end, Tee) else one for leg, one in pairs]


def _arrives(legs: Sequence[Leg], pieces: Sequence[Piece]) -> tuple[Sequence[AtLight | None], str]:
    """What arrives at the end of each leg, or nothing and the sentence why."""
    if not legs:
        return (), ""
    if len(legs) > MOST_LIGHTS:
        return [None] * len(legs), f"{len(legs)} lights hang on one transformer; {MOST_LIGHTS} are worked out at most."
    try:
        return voltages(pieces, TAP), ""
    except OutlayError as wrong:
        sentence = wrong.sentence
        for leg in sorted(legs, key=lambda leg: -len(leg.end.key)):  # a tee's key begins with that of its transformer
            sentence = sentence.replace(leg.end.key, leg.end.title)
        return [None] * len(legs), sentence


def below(circuit: Circuit, grounds: Sequence[Outline]) -> float:
    """How much of a circuit's cables runs below some grounds [ft], by their ways, but for their very edges.

    Source: geometry.
    """
    shapes = [chords(one).polygon.buffer(-BESIDE) for one in grounds]
    if not shapes or not circuit.cables:
        return 0.0
    lines = np.array([shapely.linestrings(list(one.leg.way.points)) for one in circuit.cables])
    if any(one.leg.way.on for one in circuit.cables):  # what they share of a line lies in one sleeve
        lines = np.array([shapely.union_all(lines, grid_size=FINE)])
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
