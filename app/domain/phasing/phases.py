"""Phases: what is built when, what comes again with each, and how the price of a later one holds."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.domain.basis import Basis
from app.domain.job import (
    Assigned,
    Existing,
    Fate,
    Feature,
    Firmness,
    Job,
    Phase,
    PlaceKind,
    Run,
    Work,
    Zone,
    in_number_order,
    phase_of,
)

FAR_AHEAD_DAYS = 60  # a start further ahead is offered as a range unless somebody says otherwise


@dataclass(frozen=True, slots=True)
class PhaseContent:
    """A phase with what is built in it."""

    phase: Phase
    zones: tuple[Zone, ...]
    runs: tuple[Run, ...]
    features: tuple[Feature, ...]
    existing: tuple[Existing, ...]
    works: tuple[Work, ...]  # works of the whole job, and works moved to this phase by themselves


def suggested_firmness(start: date | None, today: date) -> Firmness:
    """How the price of a phase holds unless somebody says otherwise: a range when it starts over 60 days out.

    >>> suggested_firmness(date(2027, 6, 1), date(2027, 4, 2)), suggested_firmness(date(2027, 6, 2), date(2027, 4, 2))
    (<Firmness.FIRM: 'firm'>, <Firmness.RANGE: 'range'>)
    """
    return Firmness.RANGE if start is not None and (start - today).days > FAR_AHEAD_DAYS else Firmness.FIRM


def contents(job: Job) -> tuple[PhaseContent, ...]:
    """Every phase by number, with what is built in it. What stays as it is needs no phase."""
    found = []
    for phase in in_number_order(job):

        def here(thing: Assigned, phase: Phase = phase) -> bool:
            return phase_of(job, thing) == phase.id

        found.append(
            PhaseContent(
                phase=phase,
                zones=tuple(filter(here, job.zones)),
                runs=tuple(filter(here, job.runs)),
                features=tuple(filter(here, job.features)),
                existing=tuple(one for one in job.existing if one.fate is not Fate.STAYS and here(one)),
                works=tuple(_works(job, phase.id)),
            )
        )
    return tuple(found)


def _works(job: Job, phase_id: UUID) -> Iterator[Work]:
    phases = in_number_order(job)
    for work in job.works:
        phase = work.phase_id or (phases[0].id if work.place is PlaceKind.JOB and phases else None)
        if phase == phase_id:
            yield work


def repeats(basis: Basis) -> Mapping[str, str]:
    """What comes again with every phase, by recipe key: recipes whose amounts count the trips."""
    found = {}
    for key, assembly in basis.assemblies.items():
        amounts = [part.amount for part in assembly.parts] + [task.amount for task in assembly.tasks]
        if any("trips" in amount for amount in amounts):
            found[key] = assembly.title
    return found
