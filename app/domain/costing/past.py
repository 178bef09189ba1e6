"""What a kind of work sold for on the firm's past jobs, by the square foot or the foot, beside what it sells for here.

Surfaces go by kind of zone over the area of its outlines, lines by kind of run over their length. Only what is built on
them counts; what belongs to the whole job is in neither. A kind of work was sold too seldom to say anything until
`ENOUGH` jobs have it (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from app.domain.costing.compared import Sold
from app.domain.job import Job, PlaceKind, RunKind, ZoneKind
from app.domain.plan.measures import area
from app.domain.takeoff.measures import run_length

ENOUGH = 3
LEAST = 1.0  # sq ft or ft: less is no measure of a price
ZONE, RUN = "zone", "run"


@dataclass(frozen=True, slots=True)
class Worth:
    """What one kind of work sold for on one job: cents over an amount [sq ft of zones, ft of runs]."""

    kind: str  # `zone:KIND` or `run:KIND`
    amount: float
    cents: int

    @property
    def unit(self) -> str:
        """What the amount is counted in."""
        return "sq ft" if self.kind.startswith(ZONE) else "ft"

    @property
    def title(self) -> str:
        """The kind in words."""
        place, _, kind = self.kind.partition(":")
        return f"{kind.capitalize()} {place}"

    @property
    def per_unit(self) -> int:
        """Cents for one of the unit."""
        return round(self.cents / self.amount)


@dataclass(frozen=True, slots=True)
class PastJob:
    """A job that was signed: what it is called, on which day (ISO), and what each kind sold for."""

    id: str
    title: str
    day: str
    worths: tuple[Worth, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """One kind of work here, beside the jobs that had it, the oldest first."""

    own: Worth
    past: tuple[tuple[PastJob, Worth], ...]

    @property
    def too_few(self) -> bool:
        """Whether too few jobs had it to say anything."""
        return len(self.past) < ENOUGH

    @property
    def values(self) -> tuple[int, ...]:
        """Cents for one of the unit on past jobs, the lowest first."""
        return tuple(sorted(worth.per_unit for _, worth in self.past))

    @property
    def middle(self) -> int:
        """The median of past jobs [cents]."""
        return round(median(self.values))

    @property
    def stands(self) -> str:
        """Where this job stands: below, within or above what was ever sold."""
        if self.own.per_unit < self.values[0]:
            return "below all"
        return "above all" if self.own.per_unit > self.values[-1] else "within"


def worths(job: Job, sold: Sold) -> tuple[Worth, ...]:
    """What each kind of zone and of run sells for on a job, over its area or length."""
    by_work: dict[str, int] = {}
    for line, cents in zip(sold.lines, sold.selling, strict=True):
        by_work[line.work_id] = by_work.get(line.work_id, 0) + cents
    sums: dict[str, list[float]] = {}
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        if way is not None and way.outline is not None:
            built = sum(by_work.get(str(one.id), 0) for one in job.works if one.place_id == way.id)
            _add(sums, f"{ZONE}:{ZoneKind(zone.kind).value}", area(way.outline), built)
    for run in job.runs:
        built = sum(
            by_work.get(str(one.id), 0) for one in job.works if one.place is PlaceKind.RUN and one.place_id == run.id
        )
        _add(sums, f"{RUN}:{RunKind(run.kind).value}", run_length(run) or 0.0, built)
    return tuple(Worth(kind, amount, round(cents)) for kind, (amount, cents) in sorted(sums.items()))


def _add(sums: dict[str, list[float]], kind: str, amount: float, cents: int) -> None:
    if amount >= LEAST and cents > 0:
        row = sums.setdefault(kind, [0.0, 0.0])
        row[0] += amount
        row[1] += cents


def beside(own: Sequence[Worth], past: Sequence[PastJob]) -> tuple[Beside, ...]:
    """Every kind of this job beside the past jobs that had it; those with enough of them first, dearest first."""
    ordered = sorted(past, key=lambda one: (one.day, one.id))
    found = [
        Beside(one, tuple((job, worth) for job in ordered for worth in job.worths if worth.kind == one.kind))
        for one in own
    ]
    return tuple(sorted(found, key=lambda one: (one.too_few, -one.own.cents, one.own.kind)))
