"""The way in of a machine: ground as wide as it needs, from where it leaves the street to where it works.

It does not drive over what is finished: whatever an earlier phase built is closed to it, unless plates lie there.
Ground is free where a disk of the machine's width fits, so the middle of the machine runs in free ground taken in by
half the width. Source: geometry (configuration space of a disk; Lozano-Pérez, IEEE Transactions on Computers C-32,
1983, from memory). Slopes, steps and soft ground are nobody's measure here: walk the way before a machine is ordered.
"""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field

import shapely

from app.domain.job import Existing, Fate, Job
from app.domain.plan.arcs import Point
from app.domain.plan.outline import chords
from app.domain.takeoff.drawn import Shape, gates, of_existing, shapes_of

REACH = 0.5  # ft: what is nearer to the machine's side is reached. Assumption
DRIVEN_ON = frozenset(
    {"concrete", "pavers", "turf", "driveway", "sprinklers", "valve", "stump", "overhead", "other"}
)  # kinds of what stays
DRIVEWAY = "driveway"
LEAST_AREA = 0.01  # sq ft: less is noise of the geometry


@dataclass(slots=True)
class WayIn:
    """The ground of one yard for a machine of some width [ft]; what is built closes it, by the key of its place."""

    free: Shape  # the lot without house and what stays
    start: Shape | None  # where the machine comes onto it; None: not known
    built: Mapping[str, Shape]  # what closes ground once it is finished: `zone:ID`, `run:ID`
    width: float
    _kept: dict[AbstractSet[str], Shape] = field(default_factory=dict)

    @property
    def comes_in(self) -> bool:
        """Whether there is any ground for it beside where it comes in, with nothing built yet."""
        return bool(self.ground(frozenset()).area > LEAST_AREA)

    def ground(self, closed: AbstractSet[str]) -> Shape:
        """The ground on which the middle of the machine can be, coming from the start, when these are finished."""
        known = frozenset(closed & self.built.keys())
        if known not in self._kept:
            self._kept[known] = self._ground(known)
        return self._kept[known]

    def _ground(self, closed: AbstractSet[str]) -> Shape:
        left = self.free.difference(shapely.union_all([self.built[key] for key in sorted(closed)]))
        inner = left.buffer(-self.width / 2)
        near = self.width / 2 + REACH
        parts = [one for one in shapely.get_parts(inner) if self.start is not None and one.distance(self.start) <= near]
        return shapely.union_all(parts)

    def reaches(self, target: Shape, closed: AbstractSet[str]) -> bool:
        """Whether the machine gets to a target when these are finished."""
        ground = self.ground(closed)
        return bool(ground.area > LEAST_AREA and ground.distance(target) <= self.width / 2 + REACH)

    def in_the_way(self, target: Shape, closed: AbstractSet[str]) -> tuple[str, ...]:
        """A least set of what is finished that keeps the machine from a target; empty where it gets there.

        With any one of them left open it would get there. What lies nearest to the target is named first of all.
        """
        if self.reaches(target, closed):
            return ()
        held = sorted(closed & self.built.keys(), key=lambda key: (-self.built[key].distance(target), key))
        for key in list(held):
            if not self.reaches(target, frozenset(held) - {key}):
                held.remove(key)
        return tuple(reversed(held))


def way_in(job: Job, width: float, built: Iterable[str]) -> WayIn | None:
    """The ground of a job for a machine of this width [ft]; None where no lot is drawn.

    It comes in where the site says, else from a driveway that stays. `built` are the keys of what gets finished.
    """
    lot = job.site.lot
    if lot is None:
        return None
    stays = [shape for one in job.existing if _stands(one) and (shape := of_existing(one, gates(job))) is not None]
    house = [chords(job.site.house).polygon] if job.site.house else []
    free = chords(lot).polygon.difference(shapely.union_all([*house, *stays]))
    shapes = shapes_of(job)
    return WayIn(free=free, start=_start(job), built={key: shapes[key] for key in built if key in shapes}, width=width)


def _stands(one: Existing) -> bool:
    return one.fate in {Fate.STAYS, Fate.PROTECTED} and one.kind not in DRIVEN_ON


def _start(job: Job) -> Shape | None:
    if job.site.way_in is not None:
        return shapely.points(job.site.way_in)
    drives = [chords(one.outline).polygon for one in job.existing if one.kind == DRIVEWAY and one.outline]
    return shapely.union_all(drives) if drives else None


def as_typed(point: Point) -> str:
    """Where a machine comes in, as it is typed: `75, 108`."""
    return f"{point[0]:g}, {point[1]:g}"
