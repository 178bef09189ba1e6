"""What the works of a job stand on: places, what lies around them, compiled recipes; kept from edit to edit.

While an edit is of one work, all others stand on the very same, and their results are found by its identity.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from operator import attrgetter
from typing import Any
from uuid import UUID

from app.domain.basis import Assembly, Basis
from app.domain.job import Job, PlaceKind, Work
from app.domain.keeping import KeptByInputs, Same
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen, CompiledAssembly
from app.domain.takeoff.holding import WIDE, Held
from app.domain.takeoff.laid import with_borders
from app.domain.takeoff.measures import Make, job_measures
from app.domain.takeoff.surroundings import Surroundings


def zones_of_places(job: Job) -> Mapping[UUID, UUID]:
    """The zone of every way, line, thing and edge that lies in one."""
    things = (job.alternatives, job.runs, job.features, job.edges)
    return {thing.id: thing.zone_id for of_kind in things for thing in of_kind if thing.zone_id}


def finishes_on(job: Job, zones: Mapping[UUID, UUID], work: Work) -> Mapping[str, str]:
    """Materials by role: the work's own, before the client's for its zone, before what holds wherever it occurs."""
    if not job.choices:
        return work.finishes
    zone_id = zones.get(work.place_id) if work.place_id else None
    everywhere = {choice.role: choice.material for choice in job.choices if choice.zone_id is None}
    here = {choice.role: choice.material for choice in job.choices if zone_id and choice.zone_id == zone_id}
    return {**everywhere, **here, **work.finishes}


class Recipes:
    """The recipes of a job's works: by which of them it is built, from what the client chose."""

    def __init__(self, job: Job, basis: Basis) -> None:
        self.basis = basis
        parts = (Same(basis.assemblies), Same(basis.materials), Same(basis.tasks))
        self.library = _LIBRARIES.get_or_make("library", parts, object)
        self.looked_up: dict[int, Ready | None] = {}
        self.works = job.works
        self.zone_of = zones_of_places(job)
        self._finishes = partial(finishes_on, job, self.zone_of)

    def ready(self, work: Work) -> "Ready | None":
        """A work's recipe, ready to be worked out; None where the library has none of its name."""
        key = work.id.int
        if key not in self.looked_up:
            finishes = self._finishes(work)
            rests_on = (work, finishes, self.library)
            self.looked_up[key] = _READY.get_or_make(key, rests_on, lambda: _ready(work, finishes, self.basis))
        return self.looked_up[key]

    def growing(self, job: Job) -> frozenset[UUID]:
        """Zones with a work whose base runs past the finished edge."""
        found: set[UUID] = set()
        for work in job.works:
            way_id = work.place_id if work.place is PlaceKind.ALTERNATIVE else None
            zone_id = self.zone_of.get(way_id) if way_id else None
            one = self.ready(work) if zone_id else None
            if zone_id and one and one.assembly.measures == "zone" and "grown" in one.reads:
                found.add(zone_id)
        return frozenset(found)

    def holding(self) -> tuple[Held, ...]:
        """The decided edges that end the surfaces beside them."""
        edges = (work for work in self.works if work.place is PlaceKind.EDGE and work.place_id)
        found = ((work, self.ready(work)) for work in edges)
        return tuple(
            Held(work.place_id, one.assembly.title, one.assembly.holds == "base", _part(one))
            for work, one in found
            if one and one.assembly.holds and work.place_id
        )


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """A work's recipe, compiled; every name that any of its formulas reads; what was chosen by role."""

    assembly: Assembly
    compiled: CompiledAssembly
    reads: frozenset[str]
    finishes: Mapping[str, str]


def _part(one: Ready) -> CompiledAssembly | None:
    return one.compiled if WIDE in one.assembly.parameters else None


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What works stand on: the job without them, what lies around its places, the measures of the whole job."""

    job: Job
    around: Surroundings
    measures: Mapping[str, Make]

    def of(self, work: Work, reads: frozenset[str]) -> object:
        """What the measures rest on that a work reads: what lies near its place where that is all, else this."""
        return self.around.mark(work) or self if reads.isdisjoint(OF_THE_WHOLE) else self


OF_THE_WHOLE = frozenset({"area_total", "trips"})  # measures that rest on every place

_READY: KeptByInputs["Ready | None"] = KeptByInputs(4096)
_LIBRARIES: KeptByInputs[object] = KeptByInputs(1, each=16)  # one token for each: quicker compared than three
_STANDING: KeptByInputs[Standing] = KeptByInputs(32, each=3)


def _ready(work: Work, finishes: Mapping[str, str], basis: Basis) -> Ready | None:
    assembly = basis.assemblies.get(work.assembly)
    if assembly is None:
        return None
    filled = with_borders(work, assembly, finishes)
    compiled = compile_assembly(assembly, basis, Chosen(work.parameters, filled))
    return Ready(assembly, compiled, _names(compiled), filled)


# what no measure of a place rests on
APART = frozenset(
    {
        "works",
        "plantings",
        "client",
        "needs",
        "choices",
        "allowances",
        "unit_prices",
        "payments",
        "settlements",
        "photos",
        "options",
        "packages",
    }
)
_RESTS_ON = attrgetter(*[field.name for field in fields(Job) if field.name not in APART])


_LATEST: KeptByInputs[tuple[Recipes, Standing]] = KeptByInputs(64)


def stands_on(job: Job, basis: Basis) -> tuple[Recipes, Standing]:
    """The recipes of a job's works and what they stand on; one look for every takeoff of the same job."""

    def look() -> tuple[Recipes, Standing]:
        recipes = Recipes(job, basis)
        return recipes, standing_of(job, recipes)

    return _LATEST.get_or_make(job.head.id.int, (Same(job), Same(basis)), look)


def standing_of(job: Job, recipes: Recipes) -> Standing:
    """What the works of a job stand on; the same one for as long as nothing but works is edited."""
    growing, holding = recipes.growing(job), recipes.holding()
    moved = frozenset(work.phase_id for work in job.works if work.phase_id)
    rests_on = (*_RESTS_ON(job), growing, holding, moved)
    return _STANDING.get_or_make(job.head.id.int, rests_on, lambda: _standing(job, growing, holding, moved))


def _standing(job: Job, growing: frozenset[UUID], holding: tuple[Held, ...], moved: frozenset[UUID]) -> Standing:
    nothing: dict[str, Any] = dict.fromkeys(APART - {"client"}, ())
    bare = replace(job, **nothing)
    around = Surroundings(bare, lambda: growing, holding)
    return Standing(bare, around, job_measures(bare, around, moved))


def _names(compiled: CompiledAssembly) -> frozenset[str]:
    """Every name any formula of an assembly or of its includes reads."""
    formulas = [parameter.formula for parameter in compiled.parameters]
    formulas += [bound for one in compiled.parameters for bound in (one.least, one.most) if bound]
    formulas += [piece.amount for piece in compiled.pieces]
    formulas += [piece.when for piece in compiled.pieces if piece.when]
    names = {name for one in formulas for name in one.reads}
    for include in compiled.includes:
        names |= _names(include.assembly)
        names |= {name for _, passed in include.passes for name in passed.reads}
    return frozenset(names)
