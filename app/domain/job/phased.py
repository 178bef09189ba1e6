"""Which phase a thing is built in, in which phases anything is built at all, and whether anything is."""

from collections.abc import Collection
from uuid import UUID

from app.domain.job.kinds import Fate
from app.domain.job.plan import Feature, Run, Zone
from app.domain.job.site import Existing
from app.domain.job.terms import Phase
from app.domain.job.whole import Job

Assigned = Zone | Run | Feature | Existing


def in_number_order(job: Job) -> tuple[Phase, ...]:
    """The phases by number."""
    return tuple(sorted(job.phases, key=lambda phase: (phase.number, str(phase.id))))


def phase_of(job: Job, thing: Assigned) -> UUID | None:
    """The phase a thing is built in: its own, else its zone's, else the first."""
    known = {phase.id for phase in job.phases}
    own = thing.phase_id if thing.phase_id in known else None
    zone_id = getattr(thing, "zone_id", None)
    zone = next((one for one in job.zones if one.id == zone_id), None) if zone_id else None
    of_zone = zone.phase_id if zone and zone.phase_id in known else None
    phases = in_number_order(job)
    return own or of_zone or (phases[0].id if phases else None)


def is_anything_asked(job: Job) -> bool:
    """Whether anything is to be built, or was ticked at the first call; what comes with every job does not count."""
    going = any(one.fate is not Fate.STAYS for one in job.existing)
    return bool(job.zones or job.runs or job.features or going or job.head.early)


def phases_with_work(job: Job, moved: Collection[UUID]) -> frozenset[UUID]:
    """The phases in which something is built: those of zones, runs, features and what goes, and of works `moved` there.

    What has none of its own is built with its zone, else first. One that is empty brings nobody to the yard.
    """
    known = {phase.id for phase in job.phases}
    if not known:
        return frozenset()
    first = in_number_order(job)[0].id
    of_zone = {zone.id: zone.phase_id if zone.phase_id in known else first for zone in job.zones}
    found = {of_zone[zone.id] for zone in job.zones} | (known & set(moved))
    going = (one for one in job.existing if one.fate is not Fate.STAYS)
    others: tuple[Assigned, ...] = (*job.runs, *job.features, *going)
    for thing in others:
        zone_id = getattr(thing, "zone_id", None)
        found.add(thing.phase_id if thing.phase_id in known else of_zone.get(zone_id, first) if zone_id else first)
    return frozenset(found)
