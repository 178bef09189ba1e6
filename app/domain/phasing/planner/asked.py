"""What the planner is asked: phases with budget and first day, and how much each zone is wanted."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from uuid import UUID

from app.domain.errors import BadValue
from app.domain.job import Job

MOST_PHASES = 6


class Want(StrEnum):
    """How much a zone is wanted: a must comes before all that is nice, and that before what can wait."""

    MUST = "must"
    NICE = "nice"
    WAIT = "can wait"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseAsked:
    """A phase that may be built: what it may cost at most [cents], and its first day; None: open."""

    budget_cents: int | None = None
    start: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The phases in their order, and what the owner says of zones (by id as text); the rest is as the needs say."""

    phases: tuple[PhaseAsked, ...]
    wants: Mapping[str, Want] = field(default_factory=dict)


def checked(asked: Asked) -> Asked:
    """The same, where it makes sense.

    Raises: BadValue for no or too many phases, days out of order, budgets of nothing.
    """
    if not 1 <= len(asked.phases) <= MOST_PHASES:
        raise BadValue(f"A plan has 1 to {MOST_PHASES} phases. Type how many.", field="count")
    last: date | None = None
    for number, one in enumerate(asked.phases, 1):
        if one.budget_cents is not None and one.budget_cents <= 0:
            raise BadValue(f"Phase {number} can't be built for nothing. Type a budget, or leave it empty.")
        if one.start is not None and last is not None and one.start <= last:
            raise BadValue(
                f"Phase {number} would begin on {one.start:%B} {one.start.day}, no later than the one before it "
                f"on {last:%B} {last.day}. Put the days in order."
            )
        last = one.start or last
    return asked


def wants_of(job: Job, said: Mapping[str, Want]) -> Mapping[UUID, Want]:
    """How much each zone is wanted: as the owner says, else by the needs it meets."""
    needs: dict[UUID, Want] = {}
    for need in sorted(job.needs, key=lambda one: one.must):
        for zone in need.zone_ids:
            needs[zone] = Want.MUST if need.must else Want.NICE
    return {zone.id: said.get(str(zone.id), needs.get(zone.id, Want.WAIT)) for zone in job.zones}


def weights_of(job: Job, wants: Mapping[UUID, Want], phases: int) -> Mapping[UUID, int]:
    """What a phase of waiting counts for each zone: a must more than all that is nice together, waiting all along.

    What is nice counts by the largest weight of the needs it meets [1 to 5], 3 where it meets none. What can wait
    counts nothing.
    """
    best: dict[UUID, int] = {}
    for need in job.needs:
        for zone in need.zone_ids:
            best[zone] = max(best.get(zone, 0), need.weight)
    nice = {key: best.get(key, 3) for key, want in wants.items() if want is Want.NICE}
    must = 1 + sum(nice.values()) * max(1, phases - 1)
    return {key: must if want is Want.MUST else nice.get(key, 0) for key, want in wants.items()}
