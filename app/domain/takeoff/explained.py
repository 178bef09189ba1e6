"""How amounts and numbers of a job came about: the formula, the numbers put in, and where each of them comes from."""

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from app.domain.basis import Basis
from app.domain.errors import NotFound, OutlayError
from app.domain.job import Job, Work, only_included
from app.domain.keeping import KeptByInputs
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen
from app.domain.takeoff.cover import MEASURE as COVER
from app.domain.takeoff.listed import counted, listed_traces
from app.domain.takeoff.requirements import SWELL, CrewDaysOf, PlacedWork, Takeoff
from app.domain.takeoff.trace import Trace
from app.domain.takeoff.working_out import Recorded, Values, work_out

_TRACES: KeptByInputs[tuple[Trace, ...]] = KeptByInputs(1024)


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
        job = only_included(job)
        self._takeoff = Takeoff(job, basis, crew_days)
        self._works = {work.id: work for work in job.works}
        self._traces: dict[UUID, tuple[Trace, ...]] = {}

    def of(self, work_id: UUID, index: int) -> Trace:
        """How the amount of one requirement came about. Raises: NotFound when the work has no such requirement."""
        if work_id not in self._traces:
            work = self._works.get(work_id)
            self._traces[work_id] = _of_work(self._takeoff, work) if work else ()
        traces = self._traces[work_id]
        if not 0 <= index < len(traces):
            raise NotFound("This figure is not part of the job any more.")
        return traces[index]

    def numbers(self, work_id: UUID) -> Mapping[str, Trace]:
        """How the numbers of a work's recipe came about, by name; one that lacks a measure of the place is left out."""
        placed = self._placed(work_id)
        return _numbers(placed) if placed else {}

    def unset_numbers(self, work_id: UUID) -> Mapping[str, Trace]:
        """The same as they would be, had nobody set any of them; none of a work that is not included."""
        work, placed = self._works.get(work_id), self._placed(work_id)
        ready = self._takeoff.recipes.ready(work) if work else None
        if placed is None or ready is None:
            return {}
        compiled = compile_assembly(ready.assembly, self._takeoff.basis, Chosen({}, ready.finishes))
        return _numbers(replace(placed, compiled=compiled))

    def _placed(self, work_id: UUID) -> PlacedWork | None:
        work = self._works.get(work_id)
        placed = self._takeoff.placed(work, self._takeoff.recipes.ready(work)) if work else None
        return placed if isinstance(placed, PlacedWork) else None


def _of_work(takeoff: Takeoff, work: Work) -> tuple[Trace, ...]:
    """How the amount of each requirement of a work came about; none where the work is not counted."""
    ready = takeoff.recipes.ready(work)
    if ready is None or "crew_days" in ready.reads:
        return _traces(takeoff.placed(work, ready))
    beside = takeoff.beside(work, ready)
    rests_on = (work, takeoff.standing.of(work, ready.reads), ready, beside, takeoff.listed(work))
    return _TRACES.get_or_make(work.id.int, rests_on, lambda: _traces(takeoff.placed(work, ready)))


def _traces(placed: object) -> tuple[Trace, ...]:
    if not isinstance(placed, PlacedWork):
        return ()
    sources = _sources(placed)
    taken, _ = work_out(placed.compiled, Recorded(placed.place.measures))
    taken = counted(taken, placed.bed)
    return tuple(
        one.values.traced(one.piece.amount, one.piece.label, one.piece.source, sources)
        for one in taken
        if one.piece.key
    ) + listed_traces(placed.bed)


def _sources(placed: PlacedWork) -> Mapping[str, str]:
    own = {**(placed.gas.sources if placed.gas else {}), **({COVER: placed.cover.source} if placed.cover else {})}
    return {SWELL: "the soil of the site, by the firm's rules", **own, **placed.place.sources}


def _numbers(placed: PlacedWork) -> Mapping[str, Trace]:
    values, sources = Values(placed.compiled, Recorded(placed.place.measures)), _sources(placed)
    found: dict[str, Trace] = {}
    for one in placed.compiled.parameters:  # in the order in which they need one another
        try:
            found[one.name] = values.traced(one.formula, one.label, one.source, sources)
        except OutlayError as wrong:
            values.failed[one.name] = wrong
        else:
            values[one.name] = found[one.name].result
    return found
