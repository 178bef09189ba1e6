"""Hours against the bid over many jobs: by task, and by who does it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import fsum


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHours:
    """One job at one task: hours bid and logged, and what a bid hour cost [cents]."""

    job_id: str
    number: int
    job: str
    task: str
    title: str
    crew: str
    bid: float
    hours: float
    bid_cents: int
    finished: bool

    @property
    def over_cents(self) -> int:
        """What the hours beyond the bid cost [cents]; below zero, what was left of it."""
        return round((self.hours - self.bid) * self.bid_cents / self.bid) if self.bid else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursSum:
    """All finished work of a task or of a crew."""

    key: str
    title: str
    rows: tuple[JobHours, ...]

    @property
    def jobs(self) -> int:
        """On how many jobs."""
        return len({one.job_id for one in self.rows})

    @property
    def bid(self) -> float:
        """Hours bid."""
        return fsum(one.bid for one in self.rows)

    @property
    def hours(self) -> float:
        """Hours logged."""
        return fsum(one.hours for one in self.rows)

    @property
    def over(self) -> float | None:
        """How far it went over the bid, as a share; below zero under it."""
        return self.hours / self.bid - 1 if self.bid else None

    @property
    def over_cents(self) -> int:
        """What that cost [cents]."""
        return sum(one.over_cents for one in self.rows)


def by_task(rows: Iterable[JobHours]) -> tuple[HoursSum, ...]:
    """Finished work by task, what cost most beyond its bid first."""
    return _summed(rows, lambda one: one.task, lambda one: one.title)


def by_crew(rows: Iterable[JobHours], titles: Callable[[str], str]) -> tuple[HoursSum, ...]:
    """Finished work by who does it."""
    return _summed(rows, lambda one: one.crew, lambda one: titles(one.crew))


def _summed(
    rows: Iterable[JobHours], key: Callable[[JobHours], str], title: Callable[[JobHours], str]
) -> tuple[HoursSum, ...]:
    held: dict[str, list[JobHours]] = {}
    for one in rows:
        if one.finished:
            held.setdefault(key(one), []).append(one)
    found = [HoursSum(key=name, title=title(own[-1]), rows=tuple(own)) for name, own in held.items()]
    return tuple(sorted(found, key=lambda one: (-one.over_cents, one.title)))
