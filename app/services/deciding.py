"""Deciding shared edges: one stretch, all with one neighbor, or all that are alike; and steps where levels differ."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from app.domain.change import Edit
from app.domain.checks.steps import step_limits
from app.domain.errors import BadValue
from app.domain.job import Edge, EdgeChoice, PlaceKind, Work
from app.domain.plan.arcs import Point
from app.domain.plan.edges import HOUSE
from app.domain.takeoff.meeting import OFF, Meeting, away_from, meetings
from app.domain.takeoff.thresholds import Doorway
from app.domain.trades.steps import Flight, flight_for, riser_to_build
from app.domain.units import format_length
from app.services import jobs
from app.services.edges import AROUND, other_side, title_of, touches, works_on
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.zones import assembly_of, find, new_work

LEAVE_OPEN, NOTHING = "open", "nothing"
STRETCH, NEIGHBOR, ALIKE, ALL_ALIKE = "stretch", "neighbor", "alike", "all alike"
SCOPES = (STRETCH, NEIGHBOR, ALIKE, ALL_ALIKE)
BESIDE_A_DOOR = 6 / 12  # ft: how much further than a door its steps reach on either side (common practice, no source)
WIDER = 1 / 16 / 12  # ft: what is read from a tape
LEVEL = 0.5 / 12  # ft: surfaces that differ by no more meet without a step


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Which edges a decision is for: the stretch nearest to `at`, all with its neighbor, or all that are alike.

    `alike` leaves alone what somebody decided already; `all alike` decides that again.
    """

    neighbor: str
    at: Point | None = None
    scope: str = NEIGHBOR


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """What is decided: a recipe's key, `nothing` or `open`; the recipe's parameters as they are set with it.

    `beside`: what stands on the edge already stays.
    """

    decision: str
    parameters: Mapping[str, str] | None = None
    beside: bool = False


def decide_edge(
    office: Office, job_id: UUID, zone_id: UUID, where: Where | str, decision: Built | str, order: Order
) -> UUID:
    """Decide shared edges in one change: a recipe builds them, `nothing` builds nothing, `open` takes it back.

    Whatever stood on them goes. Returns the id of the edge that was asked about.
    Raises: NotFound for a zone that is gone; BadValue for a neighbor or a recipe that is none; UnknownAssembly.
    """
    place = Where(neighbor=where) if isinstance(where, str) else where
    built = Built(decision=decision) if isinstance(decision, str) else decision
    opened = jobs.open_job(office, job_id)
    zone = find(opened.job.zones, zone_id, "zone")
    if place.neighbor not in AROUND and all(str(one.id) != place.neighbor for one in opened.job.zones):
        raise BadValue("That neighbor is not on the plan (any more). Open the plan afresh.", field="decision")
    _checked(opened, built)
    deciding = _Deciding(opened, built)
    again = place.scope == ALL_ALIKE
    others = alike(opened, zone_id, place, decided=again) if again or place.scope == ALIKE else ()
    edge_id, edits = deciding.all_of(zone_id, place, others) if others else deciding.at(zone_id, place)
    title = title_of(opened.job, place.neighbor)[1]
    what = f"{len(others) + 1} edges alike" if others else f"Edge of {zone.title} to {title}"
    jobs.save(office, job_id, tuple(edits), replace(order, what=what))
    return edge_id


def alike(opened: OpenJob, zone_id: UUID, where: Where, *, decided: bool = False) -> tuple[Meeting, ...]:
    """The other stretches that are like one, each once; without `decided` only those that nobody decided.

    Like an edge between two zones are those between zones whose levels differ as little (or that both have a drop);
    like one at open ground, the house, a wall or the lot line, all others there.
    """
    found = list(meetings(opened.job))
    own = _nearest(found, zone_id, where)
    if own is None:
        return ()
    zones = {str(zone.id) for zone in opened.job.zones}
    sort, told = _sort(own, zones), _told(found, own, zones)
    return tuple(
        met
        for met in found
        if met is not told
        and (decided or not met.decided)
        and _sort(met, zones) == sort
        and (met.neighbor not in zones or str(met.zone_id) < met.neighbor)
    )


def _told(found: Sequence[Meeting], own: Meeting, zones: set[str]) -> Meeting:
    """A stretch as it is told: that between two zones from the side of the first of them."""
    if own.neighbor not in zones or str(own.zone_id) < own.neighbor:
        return own
    back = [met for met in found if (str(met.zone_id), met.neighbor) == (own.neighbor, str(own.zone_id))]
    return min(back, key=lambda met: away_from(met.stretch.path, own.stretch.middle), default=own)


def _sort(met: Meeting, zones: set[str]) -> tuple[str, bool]:
    if met.neighbor not in zones:
        return met.neighbor, False
    return "zone", met.drop is not None and met.drop.deepest > LEVEL


def _nearest(found: Sequence[Meeting], zone_id: UUID, where: Where) -> Meeting | None:
    """The stretch of a zone that a place names."""
    own = [met for met in found if (met.zone_id, met.neighbor) == (zone_id, where.neighbor)]
    if where.at is None:
        return own[0] if own else None
    at = where.at
    return min(own, key=lambda met: away_from(met.stretch.path, at), default=None)


def _checked(opened: OpenJob, built: Built) -> None:
    if built.decision in {LEAVE_OPEN, NOTHING}:
        return
    found = assembly_of(opened.basis, built.decision)
    if found.measures != "edge":
        raise BadValue(f"“{found.title}” is not built along an edge. Choose another.", field="decision")


def _same_place(met: Meeting, own: Meeting) -> bool:
    """Whether two stretches are one, seen from either side."""
    mirrored = (str(met.zone_id), met.neighbor) == (own.neighbor, str(own.zone_id))
    near = (
        away_from(met.stretch.path, own.stretch.middle) < OFF and away_from(own.stretch.path, met.stretch.middle) < OFF
    )
    return met is own or (mirrored and near)


class _Deciding:
    """One decision, put on one edge after another of a job."""

    def __init__(self, opened: OpenJob, built: Built) -> None:
        self.opened = opened
        self.built = built
        self.choice = {LEAVE_OPEN: EdgeChoice.OPEN, NOTHING: EdgeChoice.NOTHING}.get(built.decision, EdgeChoice.BUILT)
        self.met = meetings(opened.job)

    def at(self, zone_id: UUID, where: Where) -> tuple[UUID, list[Edit]]:
        """The edge that is decided, and the edits that do it."""
        zone = find(self.opened.job.zones, zone_id, "zone")
        known = [edge for edge in self.opened.job.edges if touches(edge, zone)]
        known = [edge for edge in known if other_side(edge, zone) == where.neighbor]
        if where.scope == NEIGHBOR:
            return self._all(zone_id, where.neighbor, known)
        own = _nearest(self.met, zone_id, where)
        several = sum((met.zone_id, met.neighbor) == (zone_id, where.neighbor) for met in self.met) > 1
        if own is None or not several:
            return self._all(zone_id, where.neighbor, known)
        if own.edge is not None and own.edge.at is not None:
            return own.edge.id, [*self._choose(own.edge), *self._works(own.edge)]
        edge = Edge(id=uuid4(), zone_id=zone_id, neighbor=where.neighbor, choice=self.choice, at=own.stretch.middle)
        return edge.id, [made("edge", edge), *self._works(edge), *self._left_with_nothing(own)]

    def _left_with_nothing(self, own: Meeting) -> Iterator[Edit]:
        """The edge of all stretches goes once each of them has one of its own."""
        general = own.edge
        if general is None or any(met.edge is general and not _same_place(met, own) for met in self.met):
            return
        yield from removal(self.opened, "edge", general.id)

    def all_of(self, zone_id: UUID, where: Where, others: Sequence[Meeting]) -> tuple[UUID, list[Edit]]:
        """One stretch with others like it: a neighbor that all stretches are decided with is decided as one."""
        zones = {str(zone.id) for zone in self.opened.job.zones}
        own = _nearest(self.met, zone_id, where)
        targets = [_told(self.met, own, zones), *others] if own else list(others)
        by_pair: dict[tuple[UUID, str], list[Meeting]] = {}
        for met in targets:
            by_pair.setdefault((met.zone_id, met.neighbor), []).append(met)
        edits: list[Edit] = []
        first: UUID | None = None
        for (zone, neighbor), here in by_pair.items():
            every = sum((met.zone_id, met.neighbor) == (zone, neighbor) for met in self.met)
            places = [None] if len(here) == every else [met.stretch.middle for met in here]
            for at in places:
                place = Where(neighbor=neighbor, at=at, scope=STRETCH if at else NEIGHBOR)
                edge_id, more = self.at(zone, place)
                first, edits = first or edge_id, edits + more
        return first or uuid4(), edits

    def _all(self, zone_id: UUID, neighbor: str, known: Sequence[Edge]) -> tuple[UUID, list[Edit]]:
        """Every stretch with a neighbor: what was decided for single ones goes."""
        edits = [edit for edge in known if edge.at is not None for edit in removal(self.opened, "edge", edge.id)]
        general = next((edge for edge in known if edge.at is None), None)
        if general is not None:
            return general.id, [*edits, *self._choose(general), *self._works(general)]
        edge = Edge(id=uuid4(), zone_id=zone_id, neighbor=neighbor, choice=self.choice)
        return edge.id, [*edits, made("edge", edge), *self._works(edge)]

    def _choose(self, edge: Edge) -> Iterator[Edit]:
        yield changed("edge", edge.id, self.opened.version("edge", edge.id), {"choice": self.choice})

    def _works(self, edge: Edge) -> Iterator[Edit]:
        standing = list(works_on(self.opened.job, edge))
        builds = self.choice is EdgeChoice.BUILT
        kept = [work for work in standing if builds and work.assembly == self.built.decision]
        for work in standing:
            if work not in kept and not self.built.beside:
                yield from removal(self.opened, "work", work.id)
        if builds and not kept:
            yield made("work", self._with(new_work(self.opened, PlaceKind.EDGE, edge.id, self.built.decision)))
        elif self.built.parameters is not None:
            for work in kept:
                fields = {"parameters": {**work.parameters, **self.built.parameters}}
                yield changed("work", work.id, self.opened.version("work", work.id), fields)

    def _with(self, work: Work) -> Work:
        return replace(work, parameters={**work.parameters, **(self.built.parameters or {})})


def put_steps(office: Office, job_id: UUID, zone_id: UUID, where: Where, width: float | None, order: Order) -> UUID:
    """Build on a stretch the steps that its drop wants: alike risers, treads to the stride. Returns the edge's id.

    `width` [ft] as typed; None: the whole stretch, at a door what the door wants.
    Raises: NotFound; BadValue where the drop is not known or too low for a step, no recipe builds steps, or the steps
    would be wider than the stretch.
    """
    opened = jobs.open_job(office, job_id)
    found = steps_for(opened, _nearest(meetings(opened.job), zone_id, where), width)
    if found is None:
        raise BadValue(
            "How far the levels differ there is not known, or it is too little for a step. "
            "Type the finish levels of both zones, the door's threshold on the Site sheet, or the drop of the edge.",
            field="decision",
        )
    if width is not None and not 0 < width <= found.length + WIDER:
        raise BadValue(
            f"Steps {format_length(width)} wide do not fit on an edge of {format_length(found.length)}. "
            "Type a width of the edge or less, or leave it empty.",
            field="width",
        )
    return decide_edge(office, job_id, zone_id, replace(where, scope=STRETCH), found.built, order)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepsOffer:
    """Steps for one stretch: the drop [ft], the flight, how wide they are [ft] if nobody says otherwise, what is built.

    `length` is that of the stretch [ft]; `door` the door they lead up to, empty elsewhere.
    """

    drop: float
    flight: Flight
    width: float
    length: float
    door: str
    built: Built


def steps_for(opened: OpenJob, met: Meeting | None, width: float | None = None) -> StepsOffer | None:
    """The steps that the drop of a stretch wants; None where it is not known, or too low for a step.

    Along a stretch they are as wide as it is (and stay so); at a door as wide as the door with a hand on either side.
    What stands on an edge of the house stays beside them: the joint runs on left and right of the steps.
    """
    recipe = next(
        (
            one
            for one in sorted(opened.basis.assemblies.values(), key=lambda one: one.key)
            if one.measures == "edge" and {"riser", "tread"} <= set(one.parameters)
        ),
        None,
    )
    if recipe is None or met is None or met.drop is None:
        return None
    flight = flight_for(met.drop.mean, step_limits(opened.basis.rules))
    door, length = _steepest(met), met.stretch.length
    if flight is None or (door and flight.risers == 1):
        return None  # one riser at a door is its threshold: nothing is built for it
    own = min(length, door.width + 2 * BESIDE_A_DOOR) if door else length
    sizes = {"riser": riser_to_build(flight), "tread": flight.tread}
    parameters = {name: f"{round(12 * feet, 4):g}*inch" for name, feet in sizes.items()}
    if "width" in recipe.parameters:
        fixed = width if width is not None else own if door else None
        parameters["width"] = "length" if fixed is None else f"{round(12 * fixed, 4):g}*inch"
    if door and "on_top" in recipe.parameters:
        parameters["on_top"] = "1"
    built = Built(decision=recipe.key, parameters=parameters, beside=met.neighbor == HOUSE)
    return StepsOffer(
        drop=abs(met.drop.mean), flight=flight, width=own, length=length, door=door.title if door else "", built=built
    )


def _steepest(met: Meeting) -> Doorway | None:
    """The door with the largest step on a stretch."""
    known = [door for door in met.doors if door.down is not None]
    return max(known, key=lambda door: abs(door.down or 0.0), default=None)
