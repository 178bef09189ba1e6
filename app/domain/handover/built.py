"""What was built, work by work: where it lies, what it is called, and by which signs tests and care know it."""

from dataclasses import dataclass
from uuid import UUID

from app.domain.basis import Basis
from app.domain.job import WHOLE_JOB, Edge, Existing, Feature, Job, PlaceKind, Run, Work, Zone, only_included
from app.domain.reminder import Signs
from app.domain.takeoff.included import with_included


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltWork:
    """A work as it stands in the yard. `zone` and `thing` are ids as text (`job`: of the whole job)."""

    assembly: str
    title: str
    zone: str
    zone_letter: str
    thing: str
    thing_title: str
    count: int
    recipes: frozenset[str]
    roles: frozenset[str]
    tasks: frozenset[str]
    materials: frozenset[str]
    cautions: frozenset[str]
    trades: str  # the licensed trades its recipes name, in words

    def shows(self, signs: Signs) -> bool:
        """Whether any of the signs is there."""
        return not (
            self.recipes.isdisjoint(signs.recipes)
            and self.roles.isdisjoint(signs.roles)
            and self.tasks.isdisjoint(signs.tasks)
            and self.materials.isdisjoint(signs.materials)
            and self.cautions.isdisjoint(signs.cautions)
        )


def built_works(job: Job, basis: Basis) -> tuple[BuiltWork, ...]:
    """Every work of a job that was built, in its order; of each zone only the way that was chosen.

    The owner's own hours and the like are works of the job, too: they show nothing that is tested.
    """
    job = only_included(job)
    places = _Places(job)
    return tuple(
        made for work in job.works if work.assembly in basis.assemblies and (made := _built(work, basis, places))
    )


class _Places:
    """Things of a job by id, and the zones of the ways that were chosen."""

    def __init__(self, job: Job) -> None:
        zones: dict[UUID | None, Zone] = {zone.id: zone for zone in job.zones}
        self.zones = zones
        self.ways: dict[UUID | None, Zone] = {way.id: zones[zone_id] for zone_id, way in job.chosen_by_zone().items()}
        self.things: dict[UUID | None, Run | Feature] = {one.id: one for one in job.runs}
        self.things |= {one.id: one for one in job.features}
        self.edges: dict[UUID | None, Edge] = {one.id: one for one in job.edges}
        self.existing: dict[UUID | None, Existing] = {one.id: one for one in job.existing}

    def at(self, work: Work) -> tuple[Zone | None, str, str, int] | None:
        """Zone, thing, its title and count; None for what hangs on a way that was not chosen, or on what is gone."""
        if work.place is PlaceKind.JOB:
            return None, WHOLE_JOB, "", 1
        if work.place is PlaceKind.ALTERNATIVE:
            zone = self.ways.get(work.place_id)
            return (zone, str(zone.id), "", 1) if zone else None
        if work.place is PlaceKind.EDGE:
            edge = self.edges.get(work.place_id)
            return (self.zones.get(edge.zone_id), str(edge.id), "", 1) if edge else None
        if work.place is PlaceKind.EXISTING:
            there = self.existing.get(work.place_id)
            return (None, str(there.id), there.title or there.kind, 1) if there else None
        thing = self.things.get(work.place_id)
        if thing is None:
            return None
        named = thing.title or (thing.kind.value.capitalize() if isinstance(thing, Run) else "")
        count = thing.count if isinstance(thing, Feature) else 1
        return self.zones.get(thing.zone_id), str(thing.id), named, count


def _built(work: Work, basis: Basis, places: _Places) -> BuiltWork | None:
    at = places.at(work)
    if at is None:
        return None
    zone, thing, named, count = at
    recipes = with_included(basis.assemblies, work.assembly)
    parts = [part for one in recipes.values() for part in one.parts]
    title = work.title or basis.assemblies[work.assembly].title
    return BuiltWork(
        assembly=work.assembly,
        title=title,
        zone=str(zone.id) if zone else WHOLE_JOB,
        zone_letter=zone.letter if zone else "",
        thing=thing,
        thing_title=named or (f"{zone.title}: {title}" if zone and zone.title else title),
        count=max(1, count),
        recipes=frozenset(recipes),
        roles=frozenset(part.role for part in parts),
        tasks=frozenset(use.task for one in recipes.values() for use in one.tasks),
        materials=frozenset(work.finishes.get(part.role, part.material) for part in parts),
        cautions=frozenset(key for one in recipes.values() for key in one.cautions),
        trades=", ".join(one.build.trade for one in recipes.values() if one.build.trade),
    )
