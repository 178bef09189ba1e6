"""A job as what the planner puts into phases: its zones, and what must be there no later than some of them.

A line, a footing or demolition follows the earliest zone that needs it: its own, and those that are finished above it.
So a line for a later phase goes below an earlier one's surface with that surface: as a stub, capped at its end.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar
from uuid import UUID, uuid5

from app.domain.basis import Basis
from app.domain.job import (
    Allowance,
    Approval,
    Existing,
    Fate,
    Feature,
    Job,
    Payment,
    Phase,
    PlaceKind,
    Run,
    Work,
    Zone,
    in_number_order,
    only_included,
)
from app.domain.phasing.ground_order import TEARS_UP
from app.domain.phasing.planner.asked import Asked
from app.domain.plan.between import contains, overlap
from app.domain.takeoff.buried import runs_below

Assignment = tuple[int, ...]  # of each zone the place of its phase among those asked for
H = TypeVar("H", Run, Feature, Existing, Work, Allowance, Payment, Approval)
KINDS = {Run: "run", Feature: "feature", Existing: "existing"}


@dataclass(frozen=True, slots=True)
class Follower:
    """A line, a thing or what goes: built with the earliest of these zones (places among the zones)."""

    kind: str
    thing: Run | Feature | Existing
    own: int | None  # its own zone
    zones: tuple[int, ...]

    @property
    def place(self) -> str:
        """The key of its place."""
        return f"{self.kind}:{self.thing.id}"


class Pieces:
    """The zones and followers of one job for a number of phases."""

    def __init__(self, job: Job, basis: Basis, asked: Asked) -> None:
        self.job, self.basis, self.asked = only_included(job), basis, asked
        self.zones: tuple[Zone, ...] = self.job.zones
        self.at: Mapping[UUID, int] = {zone.id: place for place, zone in enumerate(self.zones)}
        self.phases: tuple[Phase, ...] = tuple(self._phase(place) for place in range(len(asked.phases)))

    def _phase(self, place: int) -> Phase:
        known, wanted = in_number_order(self.job), self.asked.phases[place]
        if place >= len(known):
            return Phase(id=uuid5(self.job.head.id, f"planned {place + 1}"), number=place + 1, start=wanted.start)
        one = known[place]
        same = one.start == wanted.start
        return replace(one, number=place + 1, start=wanted.start, done=one.done if same else None)

    @cached_property
    def followers(self) -> tuple[Follower, ...]:
        """Everything that is not simply built with its own zone."""
        below: dict[UUID, set[int]] = {}
        surfaced = self._surfaced
        for one in runs_below(self.job):
            place = next((at for at, zone in enumerate(self.zones) if str(zone.id) == one.over), None)
            if place in surfaced and one.length > TEARS_UP and place is not None:
                below.setdefault(one.run.id, set()).add(place)
        found = [self._follower(run, below.get(run.id, set())) for run in self.job.runs]
        found += [self._follower(thing, self._under(thing)) for thing in self.job.features]
        found += [
            self._follower(one, self._on(one)) for one in self.job.existing if one.fate in {Fate.GOES, Fate.MOVES}
        ]
        return tuple(one for one in found if one is not None)

    def _follower(self, thing: Run | Feature | Existing, above: set[int]) -> Follower | None:
        zone = getattr(thing, "zone_id", None)
        own = self.at.get(zone) if zone else None
        if own is not None and above <= {own}:
            return None  # simply with its zone
        zones = tuple(sorted(above | ({own} if own is not None else set())))
        return Follower(KINDS[type(thing)], thing, own, zones) if zones else None

    @cached_property
    def _surfaced(self) -> Mapping[int, Zone]:
        """Zones that get a finished surface."""
        groups = {key: one.group for key, one in self.basis.assemblies.items()}
        laid = {work.place_id for work in self.job.works if groups.get(work.assembly) == "surfaces"}
        found = {}
        for place, zone in enumerate(self.zones):
            way = self.job.chosen(zone)
            if way is not None and way.outline is not None and way.id in laid:
                found[place] = zone
        return found

    def _under(self, thing: Feature) -> set[int]:
        """The surfaces that a footing goes through."""
        recipes = [self.basis.assemblies.get(work.assembly) for work in self.job.works if work.place_id == thing.id]
        if thing.x is None or thing.y is None or not any(one and "dig" in one.cautions for one in recipes):
            return set()
        at = (thing.x, thing.y)
        outlines = {place: self.job.chosen(zone) for place, zone in self._surfaced.items()}
        return {place for place, way in outlines.items() if way and way.outline and contains(way.outline, at)}

    def _on(self, thing: Existing) -> set[int]:
        """The zones that are built on the ground of what goes."""
        if thing.outline is None:
            return set()
        built = {work.place_id for work in self.job.works}
        ways = {place: self.job.chosen(zone) for place, zone in enumerate(self.zones)}
        return {
            place
            for place, way in ways.items()
            if way and way.id in built and way.outline and overlap(thing.outline, way.outline) > TEARS_UP
        }

    def early(self, follower: Follower, assignment: Assignment) -> int:
        """The place of the phase a follower is built in."""
        return min(assignment[place] for place in follower.zones)

    @cached_property
    def _moved(self) -> frozenset[UUID]:
        return frozenset(one.thing.id for one in self.followers)

    def used(self, assignment: Assignment) -> tuple[int, ...]:
        """The places of the phases in which anything is built."""
        return tuple(sorted(set(assignment))) or (0,)

    def job_of(self, assignment: Assignment) -> Job:
        """The job in these phases: those without a zone are left out, numbers run from 1.

        Works that were given a phase of their own follow their place again, but protection and works of the whole job.
        """
        used = self.used(assignment)
        phases = tuple(replace(self.phases[place], number=at + 1) for at, place in enumerate(used))
        known = in_number_order(self.job)
        new = {known[at].id: self.phases[at].id for at in range(min(len(known), len(self.phases)))}
        kept = {phase.id for phase in phases}

        def told(phase: UUID | None) -> UUID | None:
            found = new.get(phase) if phase else None
            return found if found in kept else None

        early = {one.thing.id: self.phases[self.early(one, assignment)].id for one in self.followers}
        zones = tuple(
            replace(zone, phase_id=self.phases[place].id) for zone, place in zip(self.zones, assignment, strict=True)
        )
        return replace(
            self.job,
            phases=phases,
            zones=zones,
            runs=tuple(self._put(one, early, told) for one in self.job.runs),
            features=tuple(self._put(one, early, told) for one in self.job.features),
            existing=tuple(self._put(one, early, told) for one in self.job.existing),
            works=tuple(_with(one, told(one.phase_id) if self._keeps(one) else None) for one in self.job.works),
            allowances=tuple(_with(one, told(one.phase_id)) for one in self.job.allowances),
            payments=tuple(_with(one, told(one.phase_id)) for one in self.job.payments),
            approvals=tuple(_with(one, told(one.phase_id)) for one in self.job.approvals),
        )

    def loose(self, thing: Run | Feature | Existing, assignment: Assignment) -> int:
        """The place of the phase of what is in no zone and follows none: the one it has now, else the first."""
        known = [one.id for one in in_number_order(self.job)]
        place = known.index(thing.phase_id) if thing.phase_id in known else -1
        used = self.used(assignment)
        return place if place in used else used[0]

    def _put(self, thing: H, early: Mapping[UUID, UUID], told: Callable[[UUID | None], UUID | None]) -> H:
        """A thing with its phase: a follower's, none of its own in a zone, else the one it had."""
        if thing.id in early:
            return _with(thing, early[thing.id])
        follows = getattr(thing, "zone_id", None) in self.at
        return _with(thing, None if follows else told(thing.phase_id))

    def _keeps(self, work: Work) -> bool:
        recipe = self.basis.assemblies.get(work.assembly)
        return work.place is PlaceKind.JOB or (recipe is not None and recipe.group == "protection")


def _with(thing: H, phase_id: UUID | None) -> H:
    return thing if thing.phase_id == phase_id else replace(thing, phase_id=phase_id)


def titles(zones: Sequence[Zone]) -> str:
    """What a phase is called by its zones: one, two, or a few of many."""
    names = [zone.title or zone.letter for zone in zones]
    if len(names) > 3:
        return f"{names[0]}, {names[1]} and {len(names) - 2} more"
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""
