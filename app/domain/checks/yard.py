"""A job as the checks look at it: its works with their recipes and places, its outlines, what was set on each work."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from operator import attrgetter
from typing import cast
from uuid import UUID

from app.domain.basis import Assembly, Basis, Material, Part
from app.domain.job import Alternative, Edge, Job, PlaceKind, Work, Zone, only_included, zones_by_key
from app.domain.keeping import BoundedByIdentity, KeptByInputs, Same
from app.domain.plan.outline import Outline
from app.domain.takeoff.green import is_hard
from app.domain.takeoff.included import with_included
from app.domain.takeoff.measures import zone_title
from app.domain.takeoff.meeting import Meeting
from app.domain.takeoff.requirements import worked_parameters
from app.domain.takeoff.surroundings import Surroundings

# parameters the checks read, by the names the recipes share
READ = frozenset(
    {"base", "buried", "total", "pad", "riser", "tread", "rise", "inside", "wall"}
    | {"long", "wide", "width", "deep", "side", "high", "overhang", "openings", "depth", "cover"}
    | {"pounds", "open_high", "open_low", "raised", "longest", "heat", "wiring", "thick"}
    | {"on_top", "loose", "doors", "pipe", "lights", "va_each", "size", "pitch", "trunk"}
)


@dataclass(frozen=True, slots=True)
class Placed:
    """A work with its recipe, the key and words of its place, and the zone it belongs to."""

    work: Work
    assembly: Assembly
    where: str
    place: str
    zone: Zone | None

    @property
    def title(self) -> str:
        """The work's own title, else its recipe's."""
        return self.work.title or self.assembly.title


@dataclass(frozen=True, slots=True)
class Whole:
    """What a recipe says together with all that it includes: cautions and licensed trades, each once, and parts."""

    cautions: tuple[str, ...]
    trades: tuple[str, ...]
    parts: tuple[Part, ...]


_WHOLES: KeptByInputs[Whole] = KeptByInputs(1024)


def whole_of(assembly: Assembly, library: Mapping[str, Assembly]) -> Whole:
    """A recipe with what it includes of a library."""
    every = with_included(library, assembly.key).values()
    return Whole(
        cautions=tuple(dict.fromkeys(caution for one in every for caution in one.cautions)),
        trades=tuple(dict.fromkeys(one.build.trade for one in every if one.build.trade)),
        parts=tuple(part for one in every for part in one.parts),
    )


class Yard:
    """What is included of a job on its basis, looked up once for all checks; ways that are not chosen are left out."""

    def __init__(self, job: Job, basis: Basis) -> None:
        self.job = job = only_included(job)
        self.basis = basis
        self.zones: Mapping[UUID | None, Zone] = {zone.id: zone for zone in job.zones}
        self._wholes: dict[str, Whole] = {}

    @cached_property
    def chosen(self) -> Mapping[UUID, Alternative]:
        """The chosen alternative of each zone that has one."""
        return self.job.chosen_by_zone()

    @cached_property
    def ways(self) -> Mapping[UUID, UUID]:
        """The id of the chosen alternative of each zone that has one."""
        return {key: one.id for key, one in self.chosen.items()}

    @cached_property
    def outlines(self) -> Mapping[UUID, Outline]:
        """The chosen outlines, by zone."""
        return {key: one.outline for key, one in self.chosen.items() if one.outline is not None}

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """Every work whose recipe is known and whose place is there: by place as on the plan, then by position."""
        places = self._places
        order = {key: number for number, key in enumerate(places)}
        found = []
        for work in sorted(self.job.works, key=lambda one: (order.get((one.place, one.place_id), 0), one.position)):
            assembly = self.basis.assemblies.get(work.assembly)
            place = places.get((work.place, work.place_id if work.place is not PlaceKind.JOB else None))
            if assembly is not None and place is not None:
                found.append(Placed(work, assembly, *place))
        return tuple(found)

    @cached_property
    def _places(self) -> Mapping[tuple[PlaceKind, UUID | None], tuple[str, str, Zone | None]]:
        """Key, words and zone of every place a work can be on."""
        job = self.job
        found: dict[tuple[PlaceKind, UUID | None], tuple[str, str, Zone | None]] = {
            (PlaceKind.JOB, None): ("job", "The whole job", None)
        }
        for zone in job.zones:
            if zone.id in self.ways:
                found[PlaceKind.ALTERNATIVE, self.ways[zone.id]] = (f"zone:{zone.id}", zone_title(zone), zone)
        for run in job.runs:
            words = run.title or f"Run ({run.kind.value})"
            found[PlaceKind.RUN, run.id] = (f"run:{run.id}", words, self.zones.get(run.zone_id))
        for feature in job.features:
            words = feature.title or "Feature"
            found[PlaceKind.FEATURE, feature.id] = (f"feature:{feature.id}", words, self.zones.get(feature.zone_id))
        for edge in sorted(job.edges, key=self._edge_order):
            own = self.zones.get(edge.zone_id)
            if own is not None:
                words = f"{zone_title(own)}, edge to {self.neighbor(edge.neighbor)}"
                found[PlaceKind.EDGE, edge.id] = (f"edge:{edge.id}", words, own)
        for thing in job.existing:
            found[PlaceKind.EXISTING, thing.id] = (f"existing:{thing.id}", thing.title or thing.kind, None)
        return found

    def _edge_order(self, edge: Edge) -> tuple[int, str]:
        """Edges in the order of their zones, then by what lies across."""
        own = next((number for number, one in enumerate(self.job.zones) if one.id == edge.zone_id), 0)
        return own, self.neighbor(edge.neighbor)

    def neighbor(self, key: str) -> str:
        """What lies across an edge, in words."""
        zone = self._zones_by_text.get(key)
        return zone_title(zone) if zone else f"the {key}" if key else "something"

    @cached_property
    def _zones_by_text(self) -> Mapping[str, Zone]:
        return zones_by_key(self.job.zones)

    @cached_property
    def _by_place(self) -> Mapping[str, tuple[Placed, ...]]:
        found: dict[str, tuple[Placed, ...]] = {}
        for one in self.placed:
            found[one.where] = (*found.get(one.where, ()), one)
        return found

    def on(self, where: str) -> tuple[Placed, ...]:
        """The works on a place."""
        return self._by_place.get(where, ())

    @cached_property
    def parameters(self) -> Mapping[UUID, Mapping[str, float]]:
        """The parameters of each work that the checks read [canonical units], by work."""
        return worked_parameters(self.job, self.basis, READ)

    @cached_property
    def typed(self) -> Mapping[UUID, Collection[str]]:
        """The names of the numbers that were set on each work, by work."""
        return _typed(self.job)

    def parameter(self, placed: Placed, name: str) -> float | None:
        """A parameter of a work [canonical units]; None where it has none, or where a measure is missing for it."""
        found = self._numbers.get(placed.work.id.int)
        return None if found is None else found.get(name)

    @cached_property
    def _numbers(self) -> Mapping[int, Mapping[str, float]]:
        return {key.int: values for key, values in self.parameters.items()}

    @cached_property
    def hard(self) -> Mapping[UUID, Placed]:
        """Zones with a hard surface, by the work that makes it. Gravel counts as hard, as it does in many towns."""
        surfaces = (one for one in self.placed if one.zone and one.where.startswith("zone:") and is_hard(one.assembly))
        return {one.zone.id: one for one in surfaces if one.zone}

    @cached_property
    def around(self) -> Surroundings:
        """What lies around the places of the job."""
        return Surroundings(self.job)

    @property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every stretch of every chosen outline, what it meets, the edge that decides it."""
        return self.around.meetings

    def whole(self, placed: Placed) -> "Whole":
        """A work's recipe with all that it includes."""
        assembly, library = placed.assembly, self.basis.assemblies
        found = self._wholes.get(assembly.key)
        if found is None:
            found = _WHOLES.get_or_make(assembly.key, (assembly, Same(library)), lambda: whole_of(assembly, library))
            self._wholes[assembly.key] = found
        return found

    def cautions(self, placed: Placed) -> tuple[str, ...]:
        """The cautions of a work, those of included recipes too, each once."""
        return self.whole(placed).cautions

    def trades(self, placed: Placed) -> tuple[str, ...]:
        """The licensed trades a work names."""
        return self.whole(placed).trades

    def parts(self, placed: Placed) -> tuple[Part, ...]:
        """The parts of a work, those of included recipes too."""
        return self.whole(placed).parts

    def finishes(self, placed: Placed) -> tuple[Material, ...]:
        """What the client sees of a work: as set on it, chosen for its zone or the job, or the recipe's own."""
        zone_id = placed.zone.id if placed.zone else None
        chosen = {one.role: one.material for one in self.job.choices if one.zone_id is None}
        chosen |= {one.role: one.material for one in self.job.choices if one.zone_id == zone_id and zone_id}
        chosen |= placed.work.finishes
        keys = (chosen.get(part.role, part.material) for part in self.parts(placed))
        seen = (self.basis.materials.get(key) for key in keys)
        return tuple({one.key: one for one in seen if one is not None and one.finish}.values())

    def digs(self) -> tuple[Placed, ...]:
        """The works that dig: those with a place on the plan and the caution for it."""
        return tuple(one for one in self.placed if one.where != "job" and "dig" in self.cautions(one))


def _typed(job: Job) -> Mapping[UUID, Collection[str]]:
    return {work.id: work.parameters.keys() for work in job.works if work.parameters}


class Asked(Exception):
    """A check asked for what this yard does not know."""


class NumbersAsked(Asked):
    """A check asked for a number that is set on a work."""


class OutlinesAsked(Asked):
    """A check asked for an outline, or for what follows from outlines."""


class Unnumbered(Yard):
    """A yard without the numbers set on its works: the same one while nothing else of the job is edited."""

    undrawn: "Undrawn"

    @property
    def parameters(self) -> Mapping[UUID, Mapping[str, float]]:
        """Not known here.

        Raises: NumbersAsked.
        """
        raise NumbersAsked

    @property
    def typed(self) -> Mapping[UUID, Collection[str]]:
        """Not known here.

        Raises: NumbersAsked.
        """
        raise NumbersAsked

    def numbered(self, job: Job) -> Yard:
        """The same yard, with all that was looked up of it, and with the numbers set on the works of a job."""
        yard = Yard.__new__(Yard)
        yard.__dict__.update(self.__dict__)
        yard.__dict__["parameters"] = worked_parameters(job, self.basis, READ)
        yard.__dict__["typed"] = _typed(job)
        return yard


class _UndrawnJob:
    """A job whose ways nobody can look at: whoever asks for them, or for what rests on them, is told so."""

    def __init__(self, job: Job) -> None:
        self._job = replace(job, alternatives=())

    def __getattr__(self, name: str) -> object:
        if name not in _FIELDS or name == "alternatives":
            raise OutlinesAsked
        return getattr(self._job, name)


class Undrawn(Unnumbered):
    """A yard without the outlines of its zones as well: the same one while only outlines and numbers are edited."""

    def __init__(self, job: Job, basis: Basis, ways: Mapping[UUID, UUID]) -> None:
        super().__init__(job, basis)
        self.job = cast("Job", _UndrawnJob(job))
        self.ways = ways

    @property
    def chosen(self) -> Mapping[UUID, Alternative]:
        """Not known here.

        Raises: OutlinesAsked.
        """
        raise OutlinesAsked

    @property
    def outlines(self) -> Mapping[UUID, Outline]:
        """Not known here.

        Raises: OutlinesAsked.
        """
        raise OutlinesAsked

    @property
    def around(self) -> Surroundings:
        """Not known here.

        Raises: OutlinesAsked.
        """
        raise OutlinesAsked

    def drawn(self, job: Job) -> Unnumbered:
        """The same yard with the outlines of a job, and with all that was looked up of it without them."""
        yard = Unnumbered(job, self.basis)
        yard.__dict__.update({name: self.__dict__[name] for name in _UNDRAWN if name in self.__dict__})
        yard.undrawn = self
        return yard


_UNDRAWN = ("zones", "ways", "placed", "hard", "_places", "_by_place", "_zones_by_text", "_wholes")
_YARDS: KeptByInputs[Unnumbered] = KeptByInputs(32)
_YARDS_UNDRAWN: KeptByInputs[Undrawn] = KeptByInputs(32)
_BARE: BoundedByIdentity[Work, Work] = BoundedByIdentity(5_000)
_FIELDS = frozenset(field.name for field in fields(Job))
_BESIDE_WORKS = attrgetter(*sorted(_FIELDS - {"works"}))
_BESIDE_WAYS = attrgetter(*sorted(_FIELDS - {"works", "alternatives"}))


def unnumbered(job: Job, basis: Basis) -> Unnumbered:
    """What is included of a job on its basis, but for the numbers of its works; kept while that is the same."""
    works = tuple(_bare(work) for work in job.works)
    rests_on = (*_BESIDE_WORKS(job), works, Same(basis))

    def bare() -> Unnumbered:
        without = replace(job, works=works)
        return _undrawn(without, basis).drawn(without)

    return _YARDS.get_or_make(job.head.id, rests_on, bare)


def _undrawn(job: Job, basis: Basis) -> Undrawn:
    """What is included of a job on its basis, but for numbers and outlines; kept while that is the same."""
    ways = {key: one.id for key, one in job.chosen_by_zone().items()}
    rests_on = (*_BESIDE_WAYS(job), job.works, tuple(ways.values()), Same(basis))
    return _YARDS_UNDRAWN.get_or_make(job.head.id, rests_on, lambda: Undrawn(job, basis, ways))


def _bare(work: Work) -> Work:
    known = _BARE.get(work)
    if known is None:
        known = replace(work, parameters={}) if work.parameters else work
        _BARE.keep(work, known)
    return known
