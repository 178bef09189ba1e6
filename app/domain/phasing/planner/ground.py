"""What the ground says to an order of zones: planting that is out of season, machines that are paved out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from app.domain.job import Feature, Run, in_number_order
from app.domain.phasing.paved_in import WIDTH_RULE, machines_of
from app.domain.phasing.planner.pieces import Assignment, Pieces
from app.domain.phasing.seasons import PLANTED, takes_in, windows
from app.domain.phasing.way_in import WayIn, way_in
from app.domain.takeoff.drawn import BARRIERS, Shape, shapes_of
from app.domain.takeoff.requirements import Requirement


@dataclass(frozen=True, slots=True)
class Paved:
    """A place that a machine can't reach in a phase (its place among those asked for), and what is in the way."""

    place: str
    phase: int
    blockers: tuple[str, ...]


class Ground:
    """The ground of one job for orders of its zones."""

    def __init__(self, pieces: Pieces, requirements: Sequence[Requirement]) -> None:
        self.pieces = pieces
        self.requirements = requirements
        self.machines = machines_of(pieces.job, requirements)

    @cached_property
    def out_of_season(self) -> frozenset[tuple[int, int]]:
        """Zone and phase (places) in which the zone is planted when nothing takes."""
        pieces, found = self.pieces, set()
        for one in self.requirements:
            if one.kind != "material" or one.role not in PLANTED or one.amount <= 0:
                continue
            weeks = windows(pieces.basis, PLANTED[one.role][0])
            zone = next((at for at, known in enumerate(pieces.zones) if str(known.id) == one.zone), None)
            if zone is not None:
                found |= {(zone, at) for at, phase in enumerate(pieces.phases) if not takes_in(phase, weeks)}
        return frozenset(found)

    @cached_property
    def _shapes(self) -> Mapping[str, Shape]:
        return shapes_of(self.pieces.job)

    @cached_property
    def _closing(self) -> tuple[str, ...]:
        """The keys of all that closes ground once it is finished."""
        built = {work.place_id for work in self.pieces.job.works}
        ways = [(zone, self.pieces.job.chosen(zone)) for zone in self.pieces.zones]
        zones = [f"zone:{zone.id}" for zone, way in ways if way and way.outline and way.id in built]
        runs = [run for run in self.pieces.job.runs if run.kind in BARRIERS and run.id in built]
        return (*zones, *(f"run:{run.id}" for run in runs))

    @cached_property
    def way(self) -> WayIn | None:
        """The way in; None where it is not known, or no machine is needed that could be paved out."""
        rule = self.pieces.basis.rules.get(WIDTH_RULE)
        found = way_in(self.pieces.job, rule.value, self._closing) if rule and self.machines.needed else None
        return found if found is not None and found.start is not None and found.comes_in else None

    @cached_property
    def _targets(self) -> tuple[str, ...]:
        """The places that a machine must reach, and reaches while nothing is built."""
        if self.way is None:
            return ()
        places = dict.fromkeys(one.place for one in self.machines.needed if one.place in self._shapes)
        return tuple(one for one in places if self.way.reaches(self._shapes[one], frozenset()))

    @cached_property
    def _plates(self) -> frozenset[tuple[str, int]]:
        """Zones over which plates lie, by the place of the phase: those that keep their phase."""
        known = [phase.id for phase in in_number_order(self.pieces.job)]
        places = {str(one): at for at, one in enumerate(known[: len(self.pieces.phases)])}
        return frozenset((one.place, places[one.phase]) for one in self.machines.plates if one.phase in places)

    def built_in(self, assignment: Assignment) -> dict[str, int]:
        """The place of the phase in which everything that is drawn is built."""
        pieces = self.pieces
        found = {f"zone:{zone.id}": at for zone, at in zip(pieces.zones, assignment, strict=True)}
        for kind, things in (
            ("run", pieces.job.runs),
            ("feature", pieces.job.features),
            ("existing", pieces.job.existing),
        ):
            for one in things:
                own = pieces.at.get(getattr(one, "zone_id", None) or pieces.job.head.id)
                found[f"{kind}:{one.id}"] = assignment[own] if own is not None else pieces.loose(one, assignment)
        return found | {one.place: pieces.early(one, assignment) for one in pieces.followers}

    def paved(self, assignment: Assignment) -> tuple[Paved, ...]:
        """Every place of an order that a machine can't reach any more, with a least set of what is in its way."""
        if self.way is None:
            return ()
        built, found = self.built_in(assignment), []
        for place in self._targets:
            phase = built[place]
            closed = frozenset(
                key for key in self._closing if built[key] < phase and key != place and (key, phase) not in self._plates
            )
            if closed and (blockers := self.way.in_the_way(self._shapes[place], closed)):
                found.append(Paved(place, phase, blockers))
        return tuple(found)

    def forbids(self, assignment: Assignment) -> bool:
        """Whether an order plants out of season, or paves what must still be driven over."""
        return any(one in self.out_of_season for one in enumerate(assignment)) or bool(self.paved(assignment))

    def zones_of(self, place: str) -> tuple[int, ...]:
        """The zones on which it hangs when a place is built."""
        kind, _, key = place.partition(":")
        if kind == "zone":
            return tuple(at for at, zone in enumerate(self.pieces.zones) if str(zone.id) == key)
        for one in self.pieces.followers:
            if one.place == place:
                return one.zones
        things: tuple[Run | Feature, ...] = (*self.pieces.job.runs, *self.pieces.job.features)
        zone = next((one.zone_id for one in things if str(one.id) == key), None)
        own = self.pieces.at.get(zone) if zone else None
        return (own,) if own is not None else ()

    def plated(self, places: Sequence[str], phase: int) -> bool:
        """Whether plates lie over any of these in a phase."""
        return any((place, phase) in self._plates for place in places)
