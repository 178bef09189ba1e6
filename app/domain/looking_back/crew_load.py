"""How full the crews are in the weeks ahead: hours left of each phase, spread over the days it is planned for."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, fsum

WEEKS = 16
WEEK = timedelta(days=7)
DAY = timedelta(days=1)
LONGEST = 800  # days that a phase may last; more is a slip of the hand
Worked = Callable[[date], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseWork:
    """Hours of the crew left in a phase, and the days it is planned for. `signed`: else it is only offered."""

    job_id: str
    job: str
    phase: str
    start: date | None
    done: date | None
    hours: float
    signed: bool


@dataclass(frozen=True, slots=True)
class Share:
    """What of a phase falls into a week [h]."""

    work: PhaseWork
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """A week: its Monday, the days worked in it, the hours all crews have, and what is to be done in it."""

    first: date
    days: int
    capacity: float
    shares: tuple[Share, ...]

    @property
    def signed(self) -> float:
        """Hours of what is signed."""
        return fsum(one.hours for one in self.shares if one.work.signed)

    @property
    def offered(self) -> float:
        """Hours of what is only offered."""
        return fsum(one.hours for one in self.shares if not one.work.signed)

    @property
    def over(self) -> float:
        """Hours of what is signed beyond what the crews have."""
        return max(0.0, self.signed - self.capacity)

    @property
    def full(self) -> float:
        """Hours of what is signed, of those that the crews have; 0 where nobody works."""
        return self.signed / self.capacity if self.capacity else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The weeks ahead; `unplaced` has hours left and no day to begin, `later` are hours [h] after the last week."""

    weeks: tuple[Week, ...]
    unplaced: tuple[PhaseWork, ...]
    later: float
    crew_day: float

    @property
    def busy(self) -> bool:
        """Whether anything falls into these weeks or after them."""
        return self.later > 0 or any(one.shares for one in self.weeks)

    @property
    def first_free(self) -> Week | None:
        """The first week in which what is signed leaves the crews a day."""
        return next((one for one in self.weeks if one.days and one.capacity - one.signed >= self.crew_day), None)


def crew_load(
    works: Iterable[PhaseWork], today: date, worked: Worked, *, crew_day: float, crews: int, weeks: int = WEEKS
) -> Load:
    """The weeks from this one on. `crew_day` are the person-hours of a paid day of one crew.

    A phase goes on evenly over the days worked from its first (or today, where it has begun) to its last; without a
    last day at the pace of one crew.
    """
    held = [one for one in works if one.hours > 0]
    monday = today - timedelta(days=today.weekday())
    by_week: dict[date, list[Share]] = {}
    for one in held:
        for first, hours in _spread(one, today, worked, crew_day):
            by_week.setdefault(first, []).append(Share(one, hours))
    shown = [monday + WEEK * at for at in range(weeks)]
    found = [_week(first, by_week.pop(first, []), max(first, today), worked, crew_day * crews) for first in shown]
    return Load(
        weeks=tuple(found),
        unplaced=tuple(sorted((one for one in held if one.start is None), key=lambda one: (not one.signed, one.job))),
        later=fsum(share.hours for rows in by_week.values() for share in rows),
        crew_day=crew_day,
    )


def _week(first: date, shares: Sequence[Share], begin: date, worked: Worked, a_day: float) -> Week:
    days = sum(1 for at in range(7) if first + DAY * at >= begin and worked(first + DAY * at))
    in_order = tuple(sorted(shares, key=lambda one: (not one.work.signed, -one.hours, one.work.job)))
    return Week(first=first, days=days, capacity=days * a_day, shares=in_order)


def _spread(one: PhaseWork, today: date, worked: Worked, crew_day: float) -> Iterator[tuple[date, float]]:
    """Hours of a phase by the Monday of their week."""
    if one.start is None:
        return
    begin = max(one.start, today)
    days = _days(begin, max(one.done, begin) if one.done else None, worked, max(1, ceil(one.hours / crew_day - 1e-9)))
    by_week: dict[date, int] = {}
    for day in days:
        monday = day - timedelta(days=day.weekday())
        by_week[monday] = by_week.get(monday, 0) + 1
    for monday, count in by_week.items():
        yield monday, one.hours * count / len(days)


def _days(begin: date, end: date | None, worked: Worked, pace: int) -> list[date]:
    """The days worked from one to another; without an end as many as the pace asks; at least the next one."""
    found: list[date] = []
    for at in range(LONGEST):
        day = begin + DAY * at
        if end is not None and day > end and found:
            break
        if worked(day):
            found.append(day)
            if end is None and len(found) == pace:
                break
    return found or [begin]
