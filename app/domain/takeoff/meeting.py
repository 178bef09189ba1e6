"""Where the zones of a job meet: every stretch of every chosen outline, its drop, and the edge that decides it.

An edge with a point decides the one stretch its point lies on, as both sides of it see it; an edge without one decides
all other stretches with its neighbor.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, hypot
from uuid import UUID

from app.domain.job import Alternative, Edge, EdgeChoice, Fate, Job, RunKind, outlines_by_key, ways_by_key
from app.domain.keeping import BoundedByIdentity, KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.plan.edges import GROUND, HOUSE, LOT, WALL, SharedEdge, halfway, part_around, shared_edges
from app.domain.plan.growing import TOUCHING
from app.domain.plan.levels import Drop, drop_along, drop_of, finish_level
from app.domain.plan.open_lines import fine_points
from app.domain.plan.surface import Surface
from app.domain.takeoff.ground import ground_of
from app.domain.takeoff.thresholds import Doorway, doorways, drop_at

OFF = 3.0  # ft: an outline may move by so much and a decided stretch is still the same
SETTLED = frozenset({GROUND, LOT, WALL})  # neighbors where the recipe of the zone, or the wall, holds the edge


@dataclass(frozen=True, slots=True)
class Meeting:
    """One stretch of a zone's outline: what lies across, how far that lies below [ft], the edge that decides it.

    `doors` are those of the house on it: their thresholds say the drop there.
    """

    stretch: SharedEdge
    zone_id: UUID
    drop: Drop | None
    edge: Edge | None
    doors: tuple[Doorway, ...] = ()

    @property
    def neighbor(self) -> str:
        """What lies across: a zone's id as text, or house, lot, ground, wall."""
        return self.stretch.neighbor

    def as_wide(self, wide: float | None) -> tuple[Point, ...]:
        """Where something of a width [ft] lies on it, such as steps: at its door or in its middle; else all of it."""
        path = self.stretch.path
        if not wide or wide >= self.stretch.length:
            return path
        known = [door for door in self.doors if door.down is not None]
        door = max(known, key=lambda one: abs(one.down or 0.0), default=None)
        return part_around(path, door.at if door else halfway(path), wide)

    @property
    def decided(self) -> bool:
        """Whether somebody said what is built here."""
        return self.edge is not None and self.edge.choice is not EdgeChoice.OPEN

    @property
    def must_decide(self) -> bool:
        """Whether it is an open point: between two zones, or at the house."""
        return self.stretch.neighbor not in SETTLED and not self.decided


def meetings(job: Job) -> tuple[Meeting, ...]:
    """Every stretch of every zone that is drawn, in the order of the zones, each outline walked once around.

    Its drop is what somebody typed for its edge, else what the levels of both sides say (those of open ground from the
    spot levels, that of the house from the thresholds of its doors); None while neither is known.
    """
    rests_on = (
        (job.site, job.zones, job.alternatives, job.runs, job.existing, job.edges),
        (job.marks, job.level_setups),
    )
    return _MEETINGS.get_or_make(job.head.id, rests_on, lambda: _meetings(job))


def undecided(met: tuple[Meeting, ...]) -> tuple[Meeting, ...]:
    """Those of the stretches that somebody must decide, in their order; kept while they are the very same."""
    kept = _UNDECIDED.get(met)
    if kept is None:
        kept = tuple([one for one in met if one.must_decide])
        _UNDECIDED.keep(met, kept)
    return kept


_UNDECIDED: BoundedByIdentity[tuple[Meeting, ...], tuple[Meeting, ...]] = BoundedByIdentity(64)
_MEETINGS: KeptByInputs[tuple[Meeting, ...]] = KeptByInputs(64, each=3)


def _meetings(job: Job) -> tuple[Meeting, ...]:
    drawn = ways_by_key(job)
    found = stretches_of(job)
    edges, ground = _deciding(job.edges, found), ground_of(job)
    doors = doorways(job, found, drawn)
    return tuple(
        _meeting(one, drawn, edge, doors.get(place, ground))
        for place, (one, edge) in enumerate(zip(found, edges, strict=True))
    )


def stretches_of(job: Job) -> tuple[SharedEdge, ...]:
    """The stretches of every chosen outline, whoever decides them."""
    outlines = outlines_by_key(job)
    gap = meeting_gap(job)
    return shared_edges(outlines, house=job.site.house, lot=job.site.lot, walls=walls_of(job), gap=gap)


def meeting_gap(job: Job) -> float:
    """How far apart [ft] two drawn edges may lie and still be one."""
    return TOUCHING if job.site.meeting_gap is None else job.site.meeting_gap


def walls_of(job: Job) -> tuple[tuple[Point, ...], ...]:
    """The lines of walls: those that are built, and those that stand and stay."""
    built = [one for one in job.runs if one.kind is RunKind.WALL]
    standing = [one for one in job.existing if one.kind == WALL and one.fate is not Fate.GOES]
    lines = [(one.points, one.rises) for one in built] + [(one.points, one.rises) for one in standing]
    return tuple(tuple(fine_points(points, rises)) for points, rises in lines if len(points) > 1)


_MET: BoundedByIdentity[SharedEdge, tuple[tuple[object, ...], Meeting]] = BoundedByIdentity(4096)


def _meeting(
    stretch: SharedEdge, drawn: Mapping[str, Alternative], edge: Edge | None, beside: Surface | tuple[Doorway, ...]
) -> Meeting:
    """The very same one while its stretch, both ways, the edge and what lies across are the same."""
    across = beside if not isinstance(beside, Surface) or (stretch.neighbor == GROUND and beside.triangles) else None
    rests_on = (drawn[stretch.zone], drawn.get(stretch.neighbor), edge, across)
    kept = _MET.get(stretch)
    if kept is None or kept[0] != rests_on:
        kept = (rests_on, _made_meeting(stretch, drawn, edge, beside))
        _MET.keep(stretch, kept)
    return kept[1]


def _made_meeting(
    stretch: SharedEdge, drawn: Mapping[str, Alternative], edge: Edge | None, beside: Surface | tuple[Doorway, ...]
) -> Meeting:
    """`beside` is what says the level across where no zone does: the doors on the stretch, else the ground."""
    own, other = drawn[stretch.zone], drawn.get(stretch.neighbor)
    drop = drop_along(own, other, stretch.path) if other is not None else None
    doors = beside if isinstance(beside, tuple) else ()
    if doors:
        drop = drop_at(doors)
    if stretch.neighbor == GROUND and isinstance(beside, Surface) and beside.triangles:
        drop = _above_ground(own, beside, stretch.path)
    if edge is not None and edge.drop is not None:
        typed = edge.drop if str(edge.zone_id) == stretch.zone else -edge.drop
        drop = Drop(typed, typed, typed, typed, typed)
    return Meeting(stretch, own.zone_id, drop, edge, doors)


def _above_ground(own: Alternative, ground: Surface, path: Sequence[Point]) -> Drop | None:
    """How far a surface lies above the ground along an edge; None where one of them is not known all along."""
    heights: list[float] = []
    for point in path:
        here, there = finish_level(own, point), ground.level(point)
        if here is None or there is None:
            return None
        heights.append(here - there)
    return drop_of(path, heights)


def _deciding(edges: Sequence[Edge], stretches: Sequence[SharedEdge]) -> list[Edge | None]:
    """For each stretch the edge that decides it."""
    if not edges:
        return [None] * len(stretches)
    views: dict[tuple[str, str], list[int]] = {}
    for place, stretch in enumerate(stretches):
        views.setdefault((stretch.zone, stretch.neighbor), []).append(place)
    general: dict[int, Edge] = {}
    own: dict[int, Edge] = {}
    for edge in edges:
        zone = str(edge.zone_id)
        for view in ((zone, edge.neighbor), (edge.neighbor, zone)):
            places = views.get(view, [])
            if edge.at is None:
                for place in places:
                    general.setdefault(place, edge)
            elif places:
                away, place = min((away_from(stretches[place].path, edge.at), place) for place in places)
                if away <= OFF:
                    own.setdefault(place, edge)
    return [own.get(place, general.get(place)) for place in range(len(stretches))]


def away_from(path: Sequence[Point], point: Point) -> float:
    """Shortest distance [ft] from a point to a path.

    >>> away_from([(0, 0), (10, 0)], (13, 4))
    5.0
    """
    found = []
    for (ax, ay), (bx, by) in pairwise(path):
        x, y = bx - ax, by - ay
        long = x * x + y * y
        share = min(max(((point[0] - ax) * x + (point[1] - ay) * y) / long, 0.0), 1.0) if long else 0.0
        found.append(hypot(point[0] - ax - share * x, point[1] - ay - share * y))
    return min(found, default=hypot(point[0] - path[0][0], point[1] - path[0][1]))


@dataclass(frozen=True, slots=True)
class Measured:
    """What is known of the stretches an edge decides [ft]. `drop` is the mean, whichever side lies above."""

    length: float
    curved: float
    drop: float | None
    deepest: float | None


def by_edge(met: Sequence[Meeting]) -> Mapping[UUID, tuple[Meeting, ...]]:
    """The stretches that each edge decides, as its own zone sees them."""
    found: dict[UUID, list[Meeting]] = {}
    for one in met:
        if one.edge is not None and one.edge.zone_id == one.zone_id:
            found.setdefault(one.edge.id, []).append(one)
    return {key: tuple(own) for key, own in found.items()}


def measured(own: Sequence[Meeting]) -> Measured | None:
    """The stretches of one edge as one; None where there are none on the plan.

    A drop is None while it is not known on any one of them.
    """
    length = fsum(one.stretch.length for one in own)
    if not length:
        return None
    asked = [one for one in own if one.doors or one.neighbor != HOUSE] or own  # a wall without a door has no drop
    drops = [(one.drop, one.stretch.length) for one in asked if one.drop is not None]
    known = len(drops) == len(asked)
    return Measured(
        length=length,
        curved=fsum(one.stretch.curved_length for one in own),
        drop=fsum(abs(drop.mean) * long for drop, long in drops) / fsum(long for _, long in drops) if known else None,
        deepest=max(drop.deepest for drop, _ in drops) if known else None,
    )
