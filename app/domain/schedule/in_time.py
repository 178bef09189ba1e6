"""What must be there when an activity begins: by when it is ordered, and what will not be there in time."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity
from app.domain.job import Job
from app.domain.schedule.activities import Planned
from app.domain.schedule.network import Link, Moments


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheduled:
    """An activity on its days. `slack` are working days it can slip without moving the end of its phase."""

    planned: Planned
    start: date
    finish: date
    moments: Moments
    waits_for: tuple[Link, ...]

    @property
    def critical(self) -> bool:
        """A day lost here is a day lost at the end of its phase."""
        return self.moments.critical

    @property
    def slack(self) -> float:
        """Working days it can slip without moving the end of its phase."""
        return self.moments.total


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderBy:
    """What must be ordered by when, so that it is there when the first activity that wants it begins."""

    material: str
    title: str
    lead_days: int
    wanted: date
    by: date
    activity: str


def order_by(rows: Iterable[Scheduled], basis: Basis) -> tuple[OrderBy, ...]:
    """Every material that does not come at once, by the first activity that wants it; the first to order first."""
    first: dict[str, Scheduled] = {}
    for one in sorted(rows, key=lambda row: row.start):
        for key in one.planned.materials:
            first.setdefault(key, one)
    found = (_ordered(key, one, basis) for key, one in first.items())
    return tuple(sorted((one for one in found if one), key=lambda one: (one.by, one.title)))


def _ordered(key: str, one: Scheduled, basis: Basis) -> OrderBy | None:
    material, price = basis.materials[key], basis.prices.get(key)
    if not material.lead_days or (price and price.owned):
        return None
    return OrderBy(
        material=key,
        title=material.title,
        lead_days=material.lead_days,
        wanted=one.start,
        by=one.start - timedelta(days=material.lead_days),
        activity=one.planned.activity.title,
    )


def too_late(orders: Iterable[OrderBy], today: date) -> Iterator[Finding]:
    """What would come after it is wanted, if it were ordered today."""
    for one in orders:
        if not one.by < today <= one.wanted:
            continue
        ready = today + timedelta(days=one.lead_days)
        yield Finding(
            rule="ordered-too-late",
            severity=Severity.WARN,
            where=f"material:{one.material}",
            what=f"{one.title} takes {one.lead_days} days to come: ordered today it is there on {_day(ready)}, "
            f"but {one.activity} begins on {_day(one.wanted)}.",
            measured=f"{(one.wanted - today).days} days",
            limit=f"{one.lead_days} days",
            remedy="If it is ordered already, nothing is to do. Else order today and begin later, or choose another.",
        )


def before_permits(job: Job, waits: Mapping[str, int], today: date) -> Iterator[Finding]:
    """Phases that begin before permits and marked lines are there, if they were asked for today."""
    for phase in job.phases:
        wait = waits.get(str(phase.id), 0)
        ready = today + timedelta(days=wait)
        if not (phase.start and today <= phase.start < ready):
            continue
        yield Finding(
            rule="starts-before-permits",
            severity=Severity.WARN,
            where=f"phase:{phase.id}",
            what=f"Phase {phase.number} begins on {_day(phase.start)}. Permits and marked lines asked for today "
            f"are there on {_day(ready)}.",
            measured=f"{(phase.start - today).days} days",
            limit=f"{wait} days",
            remedy="If they are there, nothing is to do. Else begin later: nobody digs before lines are marked.",
        )


def _day(day: date) -> str:
    return f"{day:%B} {day.day}"
