"""What a job needs: materials and tasks by work, zone and phase, before rounding to packs. Nothing is silently zero."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal
from uuid import UUID

import msgspec

from app.domain.basis import Assembly, Basis, Firm
from app.domain.errors import NotFound
from app.domain.findings import Finding, Severity, Stop, in_order
from app.domain.job import Job, PlaceKind, Work
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.bounded import BoundedCache
from app.domain.takeoff.compiled import Chosen, CompiledAssembly
from app.domain.takeoff.formula import WHOLE_WITHIN
from app.domain.takeoff.measures import Make, Place, job_measures, place_of
from app.domain.takeoff.rates import at_third, crew_day_hours
from app.domain.takeoff.surroundings import Surroundings
from app.domain.takeoff.trace import Trace
from app.domain.takeoff.tree import nearest
from app.domain.takeoff.vocabulary import PLACE_WORDS
from app.domain.takeoff.working_out import Problem, Reads, Recorded, Taken, parameter_values, still_so, work_out
from app.domain.units import TRADE_UNITS, Dimension


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


Result = tuple[tuple[Requirement, ...], tuple[Finding, ...]]
CrewDaysOf = Callable[[Sequence[Requirement]], float]


@dataclass(frozen=True, slots=True)
class _Kept:
    """A work's result, and what it rests on besides its key."""

    compiled: CompiledAssembly
    reads: Reads
    result: Result


_WORKED_OUT: BoundedCache[bytes, _Kept] = BoundedCache(4096)


@dataclass(frozen=True, slots=True)
class Working:
    """One work where it is built: its place with measures, and its pieces with amounts and the values behind them."""

    work: Work
    place: Place
    taken: tuple[Taken, ...]


def workings(job: Job, basis: Basis, *, crew_days: "CrewDaysOf | float | None" = None) -> Iterator[Working]:
    """Every work that is counted, in their order: for what wants depths and sizes, not only amounts."""
    takeoff = _Takeoff(job, basis, crew_days)
    for work in job.works:
        placed = takeoff.placed(work)
        if isinstance(placed, _Placed):
            yield Working(work, placed.place, work_out(placed.compiled, Recorded(placed.place.measures))[0])


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
    takeoff = _Takeoff(job, basis, crew_days)
    results = [takeoff.result(work) for work in job.works]
    needed = tuple(one for required, _ in results for one in required)
    found = (finding for _, findings in results for finding in findings)
    return needed, in_order(dict.fromkeys(found))


def explain_requirement(
    job: Job, basis: Basis, work_id: UUID, index: int, *, crew_days: CrewDaysOf | float | None = None
) -> Trace:
    """How the amount of one requirement came about: its formula, the numbers put in, and where each comes from.

    Raises: NotFound when the work has no such requirement.
    """
    return TakeoffTraces(job, basis, crew_days=crew_days).of(work_id, index)


class TakeoffTraces:
    """Traces of a job's requirements: one takeoff for all of them, each work worked out once."""

    def __init__(self, job: Job, basis: Basis, *, crew_days: CrewDaysOf | float | None = None) -> None:
        self._takeoff = _Takeoff(job, basis, crew_days)
        self._works = {work.id: work for work in job.works}
        self._taken: dict[UUID, tuple[_Placed, list[Taken]]] = {}

    def of(self, work_id: UUID, index: int) -> Trace:
        """How the amount of one requirement came about. Raises: NotFound when the work has no such requirement."""
        if work_id not in self._taken:
            self._taken[work_id] = self._work_out(work_id)
        placed, required = self._taken[work_id]
        if not 0 <= index < len(required):
            raise NotFound("This figure is not part of the job any more.")
        one = required[index]
        return one.values.traced(one.piece.amount, one.piece.label, one.piece.source, placed.place.sources)

    def _work_out(self, work_id: UUID) -> "tuple[_Placed, list[Taken]]":
        work = self._works.get(work_id)
        placed = self._takeoff.placed(work) if work else None
        if not isinstance(placed, _Placed):
            raise NotFound("This figure is not part of the job any more.")
        taken, _ = work_out(placed.compiled, Recorded(placed.place.measures))
        return placed, [one for one in taken if one.piece.key]


def worked_parameters(job: Job, basis: Basis, names: Collection[str]) -> Mapping[UUID, Mapping[str, float]]:
    """The parameters [canonical units] of each work that has one of `names`, by work.

    A parameter that lacks a measure is left out, and so is a work whose alternative is not chosen.
    """
    takeoff = _Takeoff(job, basis, None)
    found: dict[UUID, Mapping[str, float]] = {}
    for work in job.works:
        assembly = basis.assemblies.get(work.assembly)
        if assembly is None or assembly.parameters.keys().isdisjoint(names):
            continue
        placed = takeoff.placed(work)
        if isinstance(placed, _Placed):
            found[work.id] = parameter_values(placed.compiled, Recorded(placed.place.measures))
    return found


@dataclass(frozen=True, slots=True)
class _Placed:
    work: Work
    place: Place
    compiled: CompiledAssembly


class _Takeoff:
    """One takeoff of one job: what is looked up once for all of its works."""

    def __init__(self, job: Job, basis: Basis, crew_days: "CrewDaysOf | float | None") -> None:
        self.job = job
        self.basis = basis
        self.around = Surroundings(job, self._growing)
        self.known: dict[str, Make] = {**job_measures(job, self.around), "crew_days": self._crew_days}
        self.compiled: dict[object, CompiledAssembly] = {}
        self.results: dict[UUID, Result] = {}
        self.days = None if callable(crew_days) else crew_days
        self.count = crew_days if callable(crew_days) else self._before_site_factors

    def result(self, work: Work) -> Result:
        """A work's requirements and findings."""
        if work.id not in self.results:
            placed = self.placed(work)
            if isinstance(placed, _Placed):
                self.results[work.id] = self._kept_result(placed)
            else:
                self.results[work.id] = ((), (placed,) if placed else ())
        return self.results[work.id]

    def placed(self, work: Work) -> _Placed | Finding | None:
        """A work with its place and compiled assembly; None on an alternative that is not chosen."""
        place = place_of(work, self.job, self.around, self.known)
        if not isinstance(place, Place):
            return place
        assembly = self.basis.assemblies.get(work.assembly)
        if assembly is None:
            return _unknown_assembly(work, place, self.basis)
        if assembly.measures != place.kind:
            return _wrong_place(work, place, assembly)
        return _Placed(work, place, self._compiled(work, assembly))

    def _compiled(self, work: Work, assembly: Assembly) -> CompiledAssembly:
        finishes = {**self._choices(work), **work.finishes}
        key = (assembly.key, tuple(work.parameters.items()), tuple(finishes.items()))
        if key not in self.compiled:
            self.compiled[key] = compile_assembly(assembly, self.basis, Chosen(work.parameters, finishes))
        return self.compiled[key]

    def _choices(self, work: Work) -> Mapping[str, str]:
        """What the client chose by role: for the zone of the work before what holds wherever the role occurs."""
        alternative = self.around.alternatives.get(work.place_id) if work.place is PlaceKind.ALTERNATIVE else None
        zone_id = alternative.zone_id if alternative else self._zone_of_thing(work)
        everywhere = {choice.role: choice.material for choice in self.job.choices if choice.zone_id is None}
        here = {choice.role: choice.material for choice in self.job.choices if zone_id and choice.zone_id == zone_id}
        return {**everywhere, **here}

    def _zone_of_thing(self, work: Work) -> UUID | None:
        job = self.job
        zones = {thing.id: thing.zone_id for things in (job.runs, job.features, job.edges) for thing in things}
        return zones.get(work.place_id) if work.place_id else None

    def _kept_result(self, placed: _Placed) -> Result:
        place = placed.place
        names = (place.where, place.title, place.zone, place.phase)
        key = msgspec.json.encode((placed.work, names), order="deterministic")
        kept = _WORKED_OUT.get(key)
        if kept and kept.compiled is placed.compiled and still_so(kept.reads, place.measures):
            return kept.result
        recorded = Recorded(place.measures)
        taken, problems = work_out(placed.compiled, recorded)
        result = _required(placed, taken), _findings(placed, taken, problems)
        _WORKED_OUT.keep(key, _Kept(placed.compiled, recorded.reads, result))
        return result

    def _growing(self) -> set[UUID]:
        """Zones with a work whose base runs past the finished edge."""
        found: set[UUID] = set()
        for work in self.job.works:
            assembly = self.basis.assemblies.get(work.assembly)
            own = self.around.alternatives.get(work.place_id) if work.place is PlaceKind.ALTERNATIVE else None
            if assembly and own and assembly.measures == "zone" and "grown" in _reads(self._compiled(work, assembly)):
                found.add(own.zone_id)
        return found

    def _crew_days(self) -> float:
        """Whole crew-days of all works that do not ask for them."""
        if self.days is None:
            self.days = 0.0  # a work that asks while they are counted is not counted itself
            needed: list[Requirement] = []
            for work in self.job.works:
                placed = self.placed(work)
                if isinstance(placed, _Placed) and "crew_days" not in _reads(placed.compiled):
                    needed += self.result(work)[0]
            self.days = self.count(needed)
        return self.days

    def _before_site_factors(self, needed: Sequence[Requirement]) -> float:
        return _whole_days(sum(_crew_hours(one, self.basis) for one in needed), self.basis.firm)


def _reads(compiled: CompiledAssembly) -> frozenset[str]:
    """Every name any formula of an assembly or of its includes reads."""
    formulas = [parameter.formula for parameter in compiled.parameters]
    formulas += [piece.amount for piece in compiled.pieces]
    formulas += [piece.when for piece in compiled.pieces if piece.when]
    names = {name for one in formulas for name in one.reads}
    for include in compiled.includes:
        names |= _reads(include.assembly)
        names |= {name for _, passed in include.passes for name in passed.reads}
    return frozenset(names)


def _crew_hours(one: Requirement, basis: Basis) -> float:
    task = basis.tasks.get(one.key) if one.kind == "task" else None
    if task is None:
        return 0.0
    labor = basis.labor_classes.get(task.crew)
    if labor is not None and labor.own:
        return 0.0
    third = basis.firm.rate_third
    return one.amount / TRADE_UNITS[task.unit].size * at_third(task.hours, third) + at_third(task.setup, third)


def _whole_days(hours: float, firm: Firm) -> float:
    a_day = crew_day_hours(firm)
    return float(-((WHOLE_WITHIN - hours / a_day) // 1.0)) if hours and a_day else 0.0


def _required(placed: _Placed, taken: tuple[Taken, ...]) -> tuple[Requirement, ...]:
    work, place = placed.work, placed.place
    with_key = [one for one in taken if one.piece.key]
    return tuple(
        Requirement(
            work.id,
            index,
            "task" if one.piece.is_task else "material",
            one.piece.key,
            one.piece.role,
            one.piece.label,
            one.amount,
            one.piece.dimension,
            one.piece.loss,
            one.piece.keep,
            place.zone,
            place.phase,
            place.where,
            work.assembly,
        )
        for index, one in enumerate(with_key)
    )


def _findings(placed: _Placed, taken: tuple[Taken, ...], problems: tuple[Problem, ...]) -> tuple[Finding, ...]:
    where, title = f"work:{placed.work.id}", f"{placed.place.title}, {placed.work.title or placed.compiled.title}"
    found = [_finding(problem, where, title) for problem in problems]
    found.extend(
        Finding(
            rule=wrong.rule,
            severity=Severity.STOP,
            where=where,
            what=f"{placed.place.title}: {wrong.what}",
            measured=wrong.what,
            remedy=wrong.remedy,
            stop=Stop.MONEY,
        )
        for wrong in placed.compiled.findings
    )
    found.extend(
        Finding(
            rule="finish-missing",
            severity=Severity.STOP,
            where=where,
            what=f"{title}: no material is chosen for the {role}; it is not counted.",
            measured=role,
            remedy=f"Choose the {role}, or set an allowance for it.",
            stop=Stop.MONEY,
        )
        for role in dict.fromkeys(one.piece.role for one in taken if not one.piece.key)
    )
    return tuple(found)


def _finding(problem: Problem, where: str, title: str) -> Finding:
    warns = problem.rule == "out-of-bounds"
    return Finding(
        rule=problem.rule,
        severity=Severity.WARN if warns else Severity.STOP,
        where=where,
        what=f"{title}: {problem.sentence}",
        measured=problem.measured,
        limit=problem.limit,
        remedy=problem.remedy,
        stop=Stop.NONE if warns else Stop.MONEY,
    )


def _unknown_assembly(work: Work, place: Place, basis: Basis) -> Finding:
    return Finding(
        rule="assembly-missing",
        severity=Severity.STOP,
        where=f"work:{work.id}",
        what=f"{place.title}: the recipe “{work.assembly}” is not in the library; it is not counted."
        f"{nearest(work.assembly, basis.assemblies)}",
        remedy="Choose another recipe, or bring this one back.",
        stop=Stop.MONEY,
    )


def _wrong_place(work: Work, place: Place, assembly: Assembly) -> Finding:
    one, other = PLACE_WORDS[assembly.measures], PLACE_WORDS[place.kind]
    return Finding(
        rule="wrong-place",
        severity=Severity.STOP,
        where=f"work:{work.id}",
        what=f"{place.title}: {assembly.title} is built on {one}, not on {other}; it is not counted.",
        remedy="Choose a recipe for this kind of place.",
        stop=Stop.MONEY,
    )
