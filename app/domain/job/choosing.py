"""Sets of a job: zones left out, the way each is done, options ticked; and the job with another set."""

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from uuid import UUID

from app.domain.job.offering import Option, Package
from app.domain.job.plan import Alternative, Zone
from app.domain.job.whole import Job

NOTHING: frozenset[UUID] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSet:
    """A set: zones left out, options ticked, and the way of each zone that is done another way than chosen."""

    left_out: AbstractSet[UUID] = NOTHING
    options: AbstractSet[UUID] = NOTHING
    ways: Mapping[UUID, UUID] = field(default_factory=dict)  # zone → alternative


def with_set(job: Job, chosen: ChosenSet) -> Job:
    """The job with this set. Things that are as wanted stay the very same."""
    return replace(
        job,
        zones=tuple(_zone(zone, chosen) for zone in job.zones),
        options=tuple(_option(option, option.id in chosen.options) for option in job.options),
    )


def _zone(zone: Zone, chosen: ChosenSet) -> Zone:
    out, way = zone.id in chosen.left_out, chosen.ways.get(zone.id, zone.chosen_id)
    return zone if (out, way) == (zone.left_out, zone.chosen_id) else replace(zone, left_out=out, chosen_id=way)


def _option(option: Option, taken: bool) -> Option:
    return option if option.taken is taken else replace(option, taken=taken)


def set_now(job: Job) -> ChosenSet:
    """The set a job has now."""
    return ChosenSet(
        left_out={zone.id for zone in job.zones if zone.left_out},
        options={option.id for option in job.options if option.taken},
    )


def ticked(job: Job, option_id: UUID, *, taken: bool) -> Job:
    """The job with one option ticked or not; of the options that are ways of one zone at most one is ticked."""
    option = next((one for one in job.options if one.id == option_id), None)
    rivals = rivals_of(job, option) if option and taken else NOTHING
    options = {one.id for one in job.options if one.taken} - rivals - {option_id}
    return with_set(job, replace(set_now(job), options=options | {option_id} if taken else options))


def rivals_of(job: Job, option: Option) -> AbstractSet[UUID]:
    """The other options that are ways of the same zone."""
    zones = {one.id: one.zone_id for one in job.alternatives}
    own = zones.get(option.way_id) if option.way_id else None
    same = (one for one in job.options if own and one.way_id and zones.get(one.way_id) == own)
    return {one.id for one in same if one.id != option.id}


def by_itself(job: Job) -> tuple[Zone, ...]:
    """The zones that no option holds: each is in or left out by itself."""
    held = {one for option in job.options for one in option.thing_ids}
    return tuple(zone for zone in job.zones if zone.id not in held)


def base_ways(job: Job, zone: Zone) -> tuple[Alternative, ...]:
    """The ways of a zone that are no option."""
    offered = {option.way_id for option in job.options}
    return tuple(one for one in job.alternatives if one.zone_id == zone.id and one.id not in offered)


def with_package(job: Job, package: Package) -> Job:
    """The job as a package has it. What the package does not know (a zone an option holds) goes by its options."""
    ways = {one.zone_id: one.id for one in job.alternatives if one.id in package.way_ids}
    out = {zone.id for zone in by_itself(job) if zone.id not in package.zone_ids}
    return with_set(job, ChosenSet(left_out=out, options=frozenset(package.option_ids), ways=ways))


def package_now(job: Job, package: Package) -> bool:
    """Whether the job has the set of a package now."""
    wanted = with_package(job, package)
    return wanted.zones == job.zones and wanted.options == job.options
