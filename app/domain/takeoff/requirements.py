"""What a job needs: materials and tasks by work, zone and phase, before rounding to packs. Nothing is silently zero."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Literal
from uuid import UUID

from app.domain.basis import Basis, Firm
from app.domain.findings import Finding, in_order
from app.domain.job import Job, Work, only_included
from app.domain.keeping import BoundedCache, KeptByInputs, Same
from app.domain.takeoff.compiled import CompiledAssembly, CompiledPiece
from app.domain.takeoff.cover import MEASURE as COVER
from app.domain.takeoff.cover import LineCover, asks_for_cover, cover_of
from app.domain.takeoff.formula import WHOLE_WITHIN
from app.domain.takeoff.gas_on_plan import MEASURES as OF_GAS
from app.domain.takeoff.gas_on_plan import OnLine, asks_of_gas, carried_of, on_line
from app.domain.takeoff.hauling import ground_of
from app.domain.takeoff.laid import LaidWork, Ordering, lay_work
from app.domain.takeoff.listed import counted, listed_pieces
from app.domain.takeoff.measures import Place, place_of
from app.domain.takeoff.not_counted import not_counted, unknown_assembly, wrong_place
from app.domain.takeoff.planted import PlantedBed, lists_of, planted_bed, planting_work
from app.domain.takeoff.rates import at_third, crew_day_hours, third_of
from app.domain.takeoff.standing import Ready, stands_on
from app.domain.takeoff.working_out import Reads, Recorded, Taken, parameter_values, still_so, work_out
from app.domain.units import TRADE_UNITS, Dimension, System


@dataclass(frozen=True, slots=True)
class Requirement:
    """One material or task that one work needs.

    `index` counts within the work; `amount` is in canonical units of `dimension`, in place, without `loss` and `keep`
    (shares of it). `zone` is a zone's id or `job`; `phase` a phase's id or empty; `place` the key of where it is.
    """

    work_id: UUID
    index: int
    kind: Literal["material", "task"]
    key: str
    role: str
    label: str
    amount: float
    dimension: Dimension
    loss: float
    keep: float
    zone: str
    phase: str
    place: str
    assembly: str
    order_words: str = ""  # why more is ordered of units laid piece by piece than were laid


SWELL = "soil_swell"  # the measure that follows from the firm's rules for the site's soil
Result = tuple[tuple[Requirement, ...], tuple[Finding, ...]]
CrewDaysOf = Callable[[Sequence[Requirement]], float]


@dataclass(frozen=True, slots=True)
class _WorkedOut:
    """A work's result, and what it rests on besides the work itself: recipe, words, and every measure that was read."""

    work: Work
    compiled: CompiledAssembly
    words: tuple[str, ...]
    reads: Reads
    orders: tuple[Ordering, ...]  # of laid units: they rest on the firm's custom too
    bed: PlantedBed | None
    result: Result


_RESULTS: KeptByInputs[Result] = KeptByInputs(4096)  # by all a work stands on: a look at pointers
_LAID: KeptByInputs[LaidWork | None] = KeptByInputs(128, each=1)  # they hold every piece: few are kept
_PARAMETERS: KeptByInputs[Mapping[str, float] | None] = KeptByInputs(4096)
_WORKED_OUT: BoundedCache[int, _WorkedOut] = BoundedCache(4096)  # by the measures it read, once anything is another


@dataclass(frozen=True, slots=True)
class Working:
    """One work where it is built: its place with measures, and its pieces with amounts and the values behind them."""

    work: Work
    place: Place
    taken: tuple[Taken, ...]
    laid: LaidWork | None = None
    bed: PlantedBed | None = None
    gas: OnLine | None = None
    cover: LineCover | None = None


def workings(job: Job, basis: Basis, *, crew_days: "CrewDaysOf | float | None" = None) -> Iterator[Working]:
    """Every work that is counted, in their order: for what wants depths and sizes, not only amounts."""
    takeoff = Takeoff(only_included(job), basis, crew_days)
    yield from (_working(placed) for placed in takeoff.all_placed())


def working_of(job: Job, basis: Basis, work: Work) -> Working | None:
    """One work where it is built, by itself; None where it is not counted."""
    takeoff = Takeoff(only_included(job), basis, None)
    placed = takeoff.placed(work, takeoff.recipes.ready(work))
    return _working(placed) if isinstance(placed, PlacedWork) else None


def _working(placed: "PlacedWork") -> Working:
    taken, _ = work_out(placed.compiled, Recorded(placed.place.measures))
    taken = counted(taken, placed.bed)
    return Working(placed.work, placed.place, taken, placed.laid, placed.bed, placed.gas, placed.cover)


def laid_on(job: Job, basis: Basis, work: Work) -> LaidWork | None:
    """The units of one work laid in its pattern; None where no pattern is set, or its zone has no outline."""
    takeoff = Takeoff(job, basis, None)
    ready = takeoff.recipes.ready(work)
    placed = takeoff.placed(work, ready) if work.laying and ready else None
    return placed.laid if isinstance(placed, PlacedWork) else None


def worked_out() -> int:
    """How many works were worked out since the start, and not found kept."""
    return _WORKED_OUT.made


def requirements(job: Job, basis: Basis, *, crew_days: CrewDaysOf | float | None = None) -> Result:
    """Everything the chosen alternatives, runs, features, edges, existing things and the job itself need.

    `crew_days` is the crew's days where they are known better than by hours at the firm's rate before site factors, or
    what counts them: it is given what all works need that do not ask for crew days themselves.
    Returns the requirements in the order of the works, and findings for all that could not be worked out.
    A work's result is kept by what it rests on: an edit works out again what it touched.
    """
    takeoff = Takeoff(only_included(job), basis, crew_days)
    results = [takeoff.result(work) for work in takeoff.job.works]
    needed = tuple(chain.from_iterable(required for required, _ in results))
    found = (finding for _, findings in results for finding in findings)
    return needed, in_order(dict.fromkeys(found))


def worked_parameters(job: Job, basis: Basis, names: Collection[str]) -> Mapping[UUID, Mapping[str, float]]:
    """The parameters [canonical units] of each work that has one of `names`, by work.

    A parameter that lacks a measure is left out, and so is a work whose alternative is not chosen.
    """
    job = only_included(job)
    takeoff = Takeoff(job, basis, None)
    found: dict[UUID, Mapping[str, float]] = {}
    for work in job.works:
        assembly = basis.assemblies.get(work.assembly)
        if assembly is None or assembly.parameters.keys().isdisjoint(names):
            continue
        values = takeoff.parameters(work)
        if values is not None:
            found[work.id] = values
    return found


@dataclass(frozen=True, slots=True)
class PlacedWork:
    """A work where it is built, with its recipe, compiled, and what its measures rest on beside the place."""

    work: Work
    place: Place
    compiled: CompiledAssembly
    laid: LaidWork | None = None
    bed: PlantedBed | None = None
    gas: OnLine | None = None
    cover: LineCover | None = None


class Takeoff:
    """One takeoff of one job: what is looked up once for all of its works."""

    def __init__(self, job: Job, basis: Basis, crew_days: "CrewDaysOf | float | None") -> None:
        self.job = job
        self.basis = basis
        self.recipes, self.standing = stands_on(job, basis)
        self.ground = ground_of(job.site.soil, basis.rules)
        self.lists = lists_of(job)
        self.results: dict[int, tuple[Work, Result]] = {}  # looked up once: crew-days are counted over all others
        self.days = None if callable(crew_days) else crew_days
        self.count = crew_days if callable(crew_days) else None

    def result(self, work: Work) -> Result:
        """A work's requirements and findings."""
        known = self.results.get(work.id.int)
        return known[1] if known and known[0] is work else self._looked_up(work)

    def _looked_up(self, work: Work) -> Result:
        ready = self.recipes.ready(work)
        if ready is None or "crew_days" in ready.reads:
            return self._result(work, ready)
        custom = (self.basis.firm, self.basis.prices) if work.laying else None
        rests_on = (
            work,
            self.standing.of(work, ready.reads),
            ready,
            custom,
            self.beside(work, ready),
            self.listed(work),
        )
        found = _RESULTS.get_or_make(work.id.int, rests_on, lambda: self._result(work, ready))
        self.results[work.id.int] = (work, found)
        return found

    def beside(self, work: Work, ready: Ready) -> tuple[object, ...]:
        """How the soil swells, what a gas or a power line goes by, for recipes that read it; how lengths are told."""
        swell = self.ground.swell if SWELL in ready.reads else None
        return swell, self._gas(work, ready), self._cover(work, ready), self.basis.firm.system

    def _cover(self, work: Work, ready: Ready) -> LineCover | None:
        if COVER not in ready.reads and not asks_for_cover(ready.assembly):
            return None
        run = next((one for one in self.job.runs if one.id == work.place_id), None)
        return cover_of(self.job, self.basis, run, self.parameters) if run else None

    def _gas(self, work: Work, ready: Ready) -> OnLine | None:
        if ready.reads.isdisjoint(OF_GAS) and not asks_of_gas(ready.assembly):
            return None
        return on_line(self.job, work, carried_of(self.job, self.basis, self.parameters))

    def _result(self, work: Work, ready: Ready | None) -> Result:
        placed = self.placed(work, ready)
        if isinstance(placed, PlacedWork):
            return _worked_out(placed, self.basis.firm.system)
        return (), (placed,) if placed else ()

    def parameters(self, work: Work) -> Mapping[str, float] | None:
        """The parameters of a work; None where it is not counted."""
        ready = self.recipes.ready(work)
        if ready is None or "crew_days" in ready.reads:
            return self._parameters(work, ready)
        rests_on = (work, self.standing.of(work, ready.reads), ready, self.beside(work, ready))
        return _PARAMETERS.get_or_make(work.id.int, rests_on, lambda: self._parameters(work, ready))

    def _parameters(self, work: Work, ready: Ready | None) -> Mapping[str, float] | None:
        placed = self.placed(work, ready)
        if not isinstance(placed, PlacedWork):
            return None
        return parameter_values(placed.compiled, Recorded(placed.place.measures))

    def placed(self, work: Work, ready: Ready | None) -> "PlacedWork | Finding | None":
        """A work with its place and compiled assembly; None on an alternative that is not chosen."""
        known = {**self.standing.measures, "crew_days": self._crew_days, SWELL: self._swell}
        place = place_of(work, self.standing.job, self.standing.around, known)
        if not isinstance(place, Place):
            return place
        if ready is None:
            return unknown_assembly(work, place, self.basis)
        if ready.assembly.measures != place.kind:
            return wrong_place(work, place, ready.assembly)
        laid = self._laid(work, ready) if work.laying else None
        if laid:
            place.measures.update(laid.measures)
        gas = self._gas(work, ready)
        place.measures.update(gas.measures if gas else {})
        cover = self._cover(work, ready)
        place.measures.update(cover.measures if cover else {})
        return PlacedWork(work, place, ready.compiled, laid, self._bed(work), gas, cover)

    def _laid(self, work: Work, ready: Ready) -> LaidWork | None:
        """The units of a work laid in its pattern; kept by outline, pattern and unit."""
        way = self.standing.around.alternatives.get(work.place_id)
        if way is None or way.outline is None:
            return None
        doors = tuple((one.x, one.y) for one in self.job.site.openings)
        ground, basis = (way.outline, doors), self.basis
        rests_on = (work, Same(ready), ground, Same(basis.materials), Same(basis.prices), Same(basis.firm))
        return _LAID.get_or_make(
            work.id.int, rests_on, lambda: lay_work(work, ready.assembly, basis, ready.finishes, ground)
        )

    def listed(self, work: Work) -> object:
        """The plant list of a work's zone, and the table it names; None where it has none."""
        rows = self.lists.get(work.place_id) if self.lists and work.place_id else None
        return (rows, Same(self.basis.plants), Same(self.basis.materials)) if rows else None

    def _bed(self, work: Work) -> PlantedBed | None:
        """The plants of a work's zone, where this is the work that plants it."""
        rows = self.lists.get(work.place_id) if work.place_id else None
        way = self.standing.around.alternatives.get(work.place_id) if rows else None
        if not rows or way is None or way.outline is None:
            return None
        if planting_work(self.job, self.basis, way.id) != work.id:
            return None
        return planted_bed(way.id, way.outline, rows, self.basis)

    def all_placed(self) -> "Iterator[PlacedWork]":
        """Every work that is counted, in their order."""
        for work in self.job.works:
            placed = self.placed(work, self.recipes.ready(work))
            if isinstance(placed, PlacedWork):
                yield placed

    def _crew_days(self) -> float:
        """Whole crew-days of all works that do not ask for them."""
        if self.days is None:
            self.days = 0.0  # a work that asks while they are counted is not counted itself
            needed: list[Requirement] = []
            for work in self.job.works:
                ready = self.recipes.ready(work)
                if ready is not None and "crew_days" not in ready.reads:
                    needed += self.result(work)[0]
            self.days = self.count(needed) if self.count else self._before_site_factors(needed)
        return self.days

    def _swell(self) -> float:
        return self.ground.swell

    def _before_site_factors(self, needed: Sequence[Requirement]) -> float:
        return _whole_days(sum(_crew_hours(one, self.basis) for one in needed), self.basis.firm)


def _worked_out(placed: PlacedWork, system: System) -> Result:
    """A work's result: the one kept while every measure it read is what it was, else a new one."""
    work, place = placed.work, placed.place
    words = (place.where, place.title, place.zone, place.phase, system)
    kept = _WORKED_OUT.get(work.id.int)
    orders = placed.laid.orders if placed.laid else ()
    same = kept and kept.compiled is placed.compiled and kept.bed is placed.bed
    same = same and kept and (kept.work, kept.words, kept.orders) == (work, words, orders)
    if kept and same and still_so(kept.reads, place.measures):
        return kept.result
    recorded = Recorded(place.measures)
    taken, problems = work_out(placed.compiled, recorded, system)
    found = not_counted(work, place, placed.compiled, taken, problems)
    more = (*(placed.laid.findings if placed.laid else ()), *(placed.bed.findings if placed.bed else ()))
    result = _required(placed, counted(taken, placed.bed)), (*found, *more)
    _WORKED_OUT.keep(work.id.int, _WorkedOut(work, placed.compiled, words, recorded.reads, orders, placed.bed, result))
    return result


def _crew_hours(one: Requirement, basis: Basis) -> float:
    task = basis.tasks.get(one.key) if one.kind == "task" else None
    if task is None:
        return 0.0
    labor = basis.labor_classes.get(task.crew)
    if labor is not None and labor.own:
        return 0.0
    third = third_of(task, basis.firm)
    return one.amount / TRADE_UNITS[task.unit].size * at_third(task.hours, third) + at_third(task.setup, third)


def _whole_days(hours: float, firm: Firm) -> float:
    a_day = crew_day_hours(firm)
    return float(-((WHOLE_WITHIN - hours / a_day) // 1.0)) if hours and a_day else 0.0


def _required(placed: PlacedWork, taken: tuple[Taken, ...]) -> tuple[Requirement, ...]:
    pieces = [(one.piece, one.amount) for one in taken if one.piece.key] + listed_pieces(placed.bed)
    return tuple(_requirement(placed, index, piece, amount) for index, (piece, amount) in enumerate(pieces))


def _requirement(placed: PlacedWork, index: int, piece: CompiledPiece, amount: float) -> Requirement:
    work, place = placed.work, placed.place
    order = placed.laid.order_of(piece.amount.reads) if placed.laid else None
    return Requirement(
        work.id,
        index,
        "task" if piece.is_task else "material",
        piece.key,
        piece.role,
        piece.label,
        amount,
        piece.dimension,
        order.beyond if order else piece.loss,
        piece.keep,
        place.zone,
        place.phase,
        place.where,
        work.assembly,
        order.words if order else "",
    )
