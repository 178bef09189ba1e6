"""What runs under what: the lines of a job below its zones and its house; lines that cross or lie near each other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

import shapely

from app.domain.job import Job, Run, RunKind, ZoneKind, outlines_by_key, zones_by_key
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.plan.buried import Below, below, crossings
from app.domain.plan.open_lines import fine_points, pieces_of

HOUSE = "house"
IN_THE_GROUND = frozenset({RunKind.CONDUIT, RunKind.PIPE, RunKind.DRAIN, RunKind.GAS, RunKind.OTHER})
UNSURFACED = frozenset({ZoneKind.LAWN, ZoneKind.PLANTING})  # nothing finished lies on the ground there
RUNS_ON = 1.0  # ft: between two surfaces this near to each other a sleeve runs on


@dataclass(frozen=True, slots=True)
class RunBelow:
    """A run below one zone or the house (`over`: its id as text, or `house`): all its stretches there."""

    run: Run
    over: str
    stretches: tuple[Below, ...]

    @property
    def length(self) -> float:
        """Length below it [ft], along the run's arcs."""
        return sum(one.length for one in self.stretches)


@dataclass(frozen=True, slots=True)
class Near:
    """Two runs that cross, or lie `apart` [ft] at the nearest. `at` is where they cross."""

    run: Run
    other: Run
    apart: float
    at: Point | None
    angle: float


def runs_below(job: Job) -> tuple[RunBelow, ...]:
    """Every buried run that is drawn, below every chosen zone outline and the house, in the order of the runs.

    What the phases ask: what lies under a zone must be there before its surface.
    """
    rests_on = (job.site, job.zones, job.alternatives, job.runs)
    return _BELOW.get_or_make(job.head.id, rests_on, lambda: tuple(_below(job)))


_BELOW: KeptByInputs[tuple[RunBelow, ...]] = KeptByInputs(64)


def _below(job: Job) -> Iterator[RunBelow]:
    outlines = outlines_by_key(job)
    if job.site.house is not None:
        outlines[HOUSE] = job.site.house
    for run in _buried(job):
        found: dict[str, list[Below]] = {}
        for one in below(pieces_of(run.points, run.rises), outlines):
            found.setdefault(one.over, []).append(one)
        for over, stretches in found.items():
            yield RunBelow(run, over, tuple(stretches))


def _buried(job: Job) -> Iterator[Run]:
    return (run for run in job.runs if run.kind in IN_THE_GROUND and len(run.points) > 1)


def sleeved_stretches(job: Job) -> Mapping[UUID, tuple[tuple[float, float], ...]]:
    """By run: from where to where [ft along it] it lies below finished surfaces; less than a foot apart is one."""
    surfaced = {key for key, zone in zones_by_key(job.zones).items() if zone.kind not in UNSURFACED}
    spans: dict[UUID, list[tuple[float, float]]] = {}
    for one in runs_below(job):
        if one.over in surfaced:
            spans.setdefault(one.run.id, []).extend((part.start, part.end) for part in one.stretches)
    return {key: tuple(_joined(sorted(own))) for key, own in spans.items()}


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for low, high in spans:
        if joined and low - joined[-1][1] <= RUNS_ON:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def near_each_other(job: Job, one_kind: RunKind, other_kind: RunKind, within: float) -> tuple[Near, ...]:
    """Pairs of drawn runs of two kinds that cross, or come within a distance [ft] of each other."""
    runs = list(_buried(job))
    pairs = [(one, other) for one in runs if one.kind is one_kind for other in runs if other.kind is other_kind]
    found = (_near(one, other) for one, other in pairs if one.id != other.id)
    return tuple(near for near in found if near.apart < within)


def _near(one: Run, other: Run) -> Near:
    crossing = crossings(pieces_of(one.points, one.rises), pieces_of(other.points, other.rises))
    if crossing:
        return Near(one, other, 0.0, crossing[0].at, crossing[0].angle)
    ways = [shapely.linestrings(fine_points(run.points, run.rises)) for run in (one, other)]
    return Near(one, other, float(shapely.distance(*ways)), None, 0.0)  # type: ignore[no-untyped-call]
