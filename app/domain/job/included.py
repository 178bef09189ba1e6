"""The job with what is included: without zones left out, without options nobody ticked, and what hangs on either."""

from collections.abc import Set as AbstractSet
from dataclasses import replace
from uuid import UUID

from app.domain.job.kinds import PlaceKind
from app.domain.job.offering import Option
from app.domain.job.plan import Zone
from app.domain.job.whole import Job
from app.domain.keeping import BoundedByIdentity

_INCLUDED: BoundedByIdentity[Job, Job] = BoundedByIdentity(64)


def only_included(job: Job) -> Job:
    """What is priced and built of a job; the very same job where nothing is out.

    With a zone go its ways, edges on either side, runs, features, allowances, risks and all works on them. A ticked
    option that is a way is how its zone is done.
    """
    if not job.options and not any(zone.left_out for zone in job.zones):
        return job
    known = _INCLUDED.get(job)
    if known is None:
        known = _included(job)
        _INCLUDED.keep(job, known)
    return known


def _included(job: Job) -> Job:
    out = left_out(job)
    zones = tuple(_done(job, zone) for zone in job.zones if zone.id not in out)
    ticked = tuple(option for option in job.options if option.taken)
    if not out and zones == job.zones and ticked == job.options:
        return job
    gone = {str(zone.id) for zone in job.zones if zone.id in out}
    ways = tuple(one for one in job.alternatives if one.zone_id not in out)
    runs = tuple(one for one in job.runs if not _is_out(one.id, one.zone_id, out))
    features = tuple(one for one in job.features if not _is_out(one.id, one.zone_id, out))
    edges = tuple(one for one in job.edges if one.zone_id not in out and one.neighbor not in gone)
    there = {one.id for things in (ways, runs, features, edges) for one in things}
    return replace(
        job,
        zones=zones,
        alternatives=ways,
        runs=runs,
        features=features,
        edges=edges,
        works=tuple(one for one in job.works if one.place in _ELSEWHERE or one.place_id in there),
        plantings=tuple(one for one in job.plantings if one.alternative_id in there),
        allowances=tuple(one for one in job.allowances if one.zone_id not in out),
        risks=tuple(one for one in job.risks if one.zone_id not in out),
        options=ticked,
    )


_ELSEWHERE = (PlaceKind.JOB, PlaceKind.EXISTING)


def left_out(job: Job) -> AbstractSet[UUID]:
    """The ids of zones that are left out, and of zones, runs and features that an option holds which is not ticked."""
    zones = {zone.id for zone in job.zones if zone.left_out}
    return zones | {held for option in job.options if not option.taken for held in option.thing_ids}


def _is_out(thing_id: UUID, zone_id: UUID | None, out: AbstractSet[UUID]) -> bool:
    return thing_id in out or zone_id in out


def _done(job: Job, zone: Zone) -> Zone:
    """A zone done the way of its ticked option; of several the first."""
    ways = {one.id for one in job.alternatives if one.zone_id == zone.id}
    ticked = next((option.way_id for option in job.options if option.taken and option.way_id in ways), None)
    return replace(zone, chosen_id=ticked) if ticked and ticked != zone.chosen_id else zone


def options_of_way(job: Job, zone_id: UUID) -> tuple[Option, ...]:
    """The options that are another way to do one zone: at most one of them is ticked."""
    ways = {one.id for one in job.alternatives if one.zone_id == zone_id}
    return tuple(option for option in job.options if option.way_id in ways)
