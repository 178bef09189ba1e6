"""What was bid, task by task: person-hours and what they cost the firm, by zone and phase."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum
from typing import NamedTuple

from app.domain.basis import CostClass
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import Line
from app.domain.errors import BadValue
from app.domain.job import WHOLE_JOB, Job

AROUND = (
    "crew-day"  # the key of lines for what goes off a crew's day: loading, driving, cleaning up, the rest of the last
)
AROUND_TITLE = "Loading, driving, cleaning up"
LABOR = (CostClass.LABOR, CostClass.OWN_HOURS)
MOST_KEY = 80  # characters


class TaskPlace(NamedTuple):
    """Where hours belong: a zone (or `job`), a phase (empty: none), the key of a task (empty: not in the bid)."""

    zone: str
    phase: str
    task: str

    @property
    def text(self) -> str:
        """In one word, for a form or an address: `ZONE:PHASE:TASK`."""
        return ":".join(self)


def place_of(text: str) -> TaskPlace:
    """The place that a word names. Raises: BadValue.

    >>> place_of("job::crew-day").task
    'crew-day'
    """
    parts = text.split(":")
    if len(parts) != len(TaskPlace._fields) or not parts[0] or max(map(len, parts)) > MOST_KEY:
        raise BadValue("Which task this was cannot be read. Tap a task, then the hours.", field="task")
    return TaskPlace(*parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class BidTask:
    """A task of one zone and phase as it was bid: person-hours, and what they cost [cents].

    `per_hour` is what an hour costs with burden [whole money]; None where nobody is paid for it yet. `own` are the
    owner's hours, which no crew works.
    """

    at: TaskPlace
    title: str
    hours: float
    cents: int
    per_hour: Decimal | None
    own: bool = False


def bid_tasks(job: Job, worked: Estimate) -> tuple[BidTask, ...]:
    """The tasks of an estimate that people of the firm work, in the order of zones, phases and lines.

    What a subcontractor does has no hours. What goes off each day of the crew is one task a phase, at its mean rate.
    """
    found: dict[TaskPlace, list[Line]] = {}
    for line in worked.lines:
        if line.cost_class in LABOR and (line.kind == "task" or line.key == AROUND):
            found.setdefault(TaskPlace(line.zone or WHOLE_JOB, line.phase, line.key), []).append(line)
    tasks = (_task(at, lines, worked) for at, lines in found.items())
    return tuple(sorted((one for one in tasks if one.hours > 0), key=_in_order(job)))


def _task(at: TaskPlace, lines: Sequence[Line], worked: Estimate) -> BidTask:
    around = at.task == AROUND
    hours, cents = fsum(line.hours for line in lines), sum(line.cents for line in lines)
    rate = None if around else worked.paying.rates.get(worked.paying.tasks[at.task].crew)
    return BidTask(
        at=at,
        title=AROUND_TITLE if around else lines[0].title,
        hours=hours,
        cents=cents,
        per_hour=_mean(cents, hours) if around else (rate.per_hour if rate else None),
        own=rate.own if rate else False,
    )


def mean_per_hour(tasks: Iterable[BidTask]) -> Decimal | None:
    """What an hour of the crew costs in the mix that was bid [whole money]: for hours that no task was bid for."""
    crew = [one for one in tasks if not one.own and one.per_hour is not None]
    return _mean(sum(one.cents for one in crew), fsum(one.hours for one in crew))


def _mean(cents: int, hours: float) -> Decimal | None:
    return (Decimal(cents) / 100 / Decimal(repr(hours))).quantize(Decimal("0.0001")) if hours > 0 else None


def _in_order(job: Job) -> "_Order":
    zones = {str(zone.id): at for at, zone in enumerate(job.zones)}
    phases = {str(one.id): one.number for one in job.phases}
    return _Order({**zones, WHOLE_JOB: len(zones)}, phases)


class _Order:
    """Zones in their order, the whole job after them; within a zone by phase; tasks stay in the order of lines."""

    def __init__(self, zones: Mapping[str, int], phases: Mapping[str, int]) -> None:
        self.zones = zones
        self.phases = phases

    def __call__(self, one: BidTask) -> tuple[int, int, bool]:
        return self.zones.get(one.at.zone, len(self.zones)), self.phases.get(one.at.phase, 0), one.at.task == AROUND
