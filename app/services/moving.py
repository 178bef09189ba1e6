"""Moving work from one phase to another: all of a zone, or all of a phase, in one change that one undo takes back."""

from collections.abc import Iterable
from dataclasses import replace
from uuid import UUID

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Existing, Feature, Job, Phase, PlaceKind, Run, Work, Zone
from app.domain.phasing import contents
from app.domain.takeoff.measures import zone_title
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed
from app.services.office import Office
from app.services.zones import find

Moved = Zone | Run | Feature | Existing | Work
KINDS = {Zone: "zone", Run: "run", Feature: "feature", Existing: "existing", Work: "work"}


def move_zone(office: Office, job_id: UUID, zone_id: UUID, phase_id: UUID, version: int, order: Order) -> Applied:
    """Build a zone and all that is in it in a phase: its lines and things, its recipes, also those moved by themselves.

    Raises: NotFound for a zone that is gone, BadValue for a phase that is; Stale where somebody moved it meanwhile.
    """
    opened = jobs.open_job(office, job_id)
    zone: Zone = find(opened.job.zones, zone_id, "zone")
    phase = _phase(opened.job, phase_id)
    things: tuple[Run | Feature, ...] = (*opened.job.runs, *opened.job.features)
    inside: list[Moved] = [one for one in things if one.zone_id == zone.id]
    places = {one.id for one in inside} | {one.id for one in opened.job.alternatives if one.zone_id == zone.id}
    places |= {one.id for one in opened.job.edges if one.zone_id == zone.id}
    inside += [one for one in opened.job.works if one.place_id in places]
    edits = [changed("zone", zone.id, version, {"phase_id": phase.id})]
    edits += _put(opened, inside, None)  # they follow their zone
    return jobs.save(office, job_id, tuple(edits), replace(order, what=f"{zone_title(zone)} to phase {phase.number}"))


def move_everything(office: Office, job_id: UUID, from_id: UUID, phase_id: UUID, order: Order) -> Applied:
    """Build everything of a phase in another: zones, lines, things, what stands in the yard, works of the whole job.

    Raises: BadValue for a phase that is gone, or for one and the same.
    """
    opened = jobs.open_job(office, job_id)
    source, target = _phase(opened.job, from_id), _phase(opened.job, phase_id)
    if source.id == target.id:
        raise BadValue(f"It is in phase {target.number} already. Choose another.", field="phase_id")
    content = next(one for one in contents(opened.job) if one.phase.id == source.id)
    whole = [work for work in content.works if work.place is PlaceKind.JOB]
    edits = [*_put(opened, content.zones, target.id), *_put(opened, whole, target.id)]
    moved_zones = {zone.id for zone in content.zones}
    placed: tuple[Run | Feature | Existing, ...] = (*content.runs, *content.features, *content.existing)
    for thing in placed:
        follows = getattr(thing, "zone_id", None) in moved_zones
        edits += _put(opened, [thing], None if follows else target.id)
    alone = [work for work in content.works if work.place is not PlaceKind.JOB]  # apart from what they are built on
    edits += _put(opened, alone, target.id)
    if not edits:
        raise BadValue(f"Nothing is built in phase {source.number}.", field="phase_id")
    return jobs.save(
        office, job_id, tuple(edits), replace(order, what=f"All of phase {source.number} to phase {target.number}")
    )


def _put(opened: OpenJob, things: Iterable[Moved], phase_id: UUID | None) -> list[Edit]:
    return [
        changed(KINDS[type(one)], one.id, opened.version(KINDS[type(one)], one.id), {"phase_id": phase_id})
        for one in things
        if one.phase_id != phase_id
    ]


def _phase(job: Job, phase_id: UUID) -> Phase:
    found = next((one for one in job.phases if one.id == phase_id), None)
    if found is None:
        raise BadValue("That phase is not in this job (any more). Open the sheet afresh.", field="phase_id")
    return found
