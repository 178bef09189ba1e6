"""The line that activities are laid on: working days counted from 0, and what lies between two of them."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import accumulate
from math import ceil, floor
from typing import Protocol

from app.domain.errors import BadValue

SAME = 1e-9  # days: nearer than that is the same moment
LONGEST_YEARS = 12  # a schedule that reaches further is a mistake of typing
LEAST_OF_A_DAY = 0.1  # what bad weather leaves of a working day at the worst, in the mean of a month
WEEKDAYS = frozenset(range(5))  # Monday is 0


class Axis(Protocol):
    """What a schedule asks of its days: work and waiting, forward and back. A moment is counted in working days."""

    def done(self, start: float, days: float, *, outdoors: bool) -> float:
        """When work of so many days is done that starts then."""

    def begun(self, finish: float, days: float, *, outdoors: bool) -> float:
        """When work of so many days starts at the latest, to be done then."""

    def waited(self, moment: float, days: float) -> float:
        """The first working moment after so many days of the calendar, nights and Sundays too."""

    def waited_back(self, moment: float, days: float) -> float:
        """The latest moment whose wait is over then."""


@dataclass(frozen=True, slots=True)
class Even:
    """Days that are all alike: an exercise from a book, or a first idea without dates."""

    def done(self, start: float, days: float, *, outdoors: bool) -> float:  # noqa: ARG002 as Axis asks
        """Start and days."""
        return start + days

    def begun(self, finish: float, days: float, *, outdoors: bool) -> float:  # noqa: ARG002 as Axis asks
        """Finish less days."""
        return finish - days

    def waited(self, moment: float, days: float) -> float:
        """Moment and days."""
        return moment + days

    def waited_back(self, moment: float, days: float) -> float:
        """Moment less days."""
        return moment - days


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingDays:
    """Which days are worked. `lost` are working days that bad weather takes in a month, on average, by its number."""

    weekdays: frozenset[int] = WEEKDAYS
    closed: frozenset[date] = frozenset()
    lost: Mapping[int, float] = field(default_factory=dict)

    def worked(self, day: date) -> bool:
        """Whether the firm works on that day.

        >>> WorkingDays(closed=frozenset({date(2027, 7, 5)})).worked(date(2027, 7, 5))
        False
        """
        return day.weekday() in self.weekdays and day not in self.closed


class Dated:
    """Working days by date from a first day on. Moment 0 is the morning of the first of them, 1 the evening of it."""

    __slots__ = ("_done", "dates")

    def __init__(self, first: date, days: WorkingDays, *, reach: float) -> None:
        """`reach` [working days] says how far dates are wanted. Raises BadValue where no day is worked, or too many."""
        if not days.weekdays:
            raise BadValue("No day of the week is worked: choose at least one.")
        if reach > LONGEST_YEARS * 200:
            raise BadValue(
                f"This reaches over {LONGEST_YEARS} years: look for a length or a wait with a digit too many."
            )
        self.dates = _dates(first, days, ceil(reach) + 1)
        fits = _fitness(self.dates, days)
        self._done: tuple[float, ...] = (0.0, *accumulate(fits))

    def done(self, start: float, days: float, *, outdoors: bool) -> float:
        """When work of so many days is done that starts then; outdoors a day counts for what weather leaves of it."""
        return self._at(self._sum(start) + days) if outdoors else start + days

    def begun(self, finish: float, days: float, *, outdoors: bool) -> float:
        """When work of so many days starts at the latest, to be done then."""
        return self._at(self._sum(finish) - days) if outdoors else finish - days

    def waited(self, moment: float, days: float) -> float:
        """The first working moment after so many days of the calendar: cure goes on at night and on Sundays.

        What is poured on a Monday and waits for 7 days is worked on again on Tuesday of the week after.
        """
        if days <= 0:
            return moment
        ready = self.finish_date(moment) + timedelta(days=ceil(days - SAME) + 1)
        return max(moment, float(bisect_left(self.dates, ready)))

    def waited_back(self, moment: float, days: float) -> float:
        """The latest moment whose wait is over then."""
        if days <= 0:
            return moment
        last = self.start_date(moment) - timedelta(days=ceil(days - SAME) + 1)
        return min(moment, float(bisect_right(self.dates, last)))

    def start_date(self, moment: float) -> date:
        """The day on which what starts then starts."""
        return self.dates[min(max(floor(moment + SAME), 0), len(self.dates) - 1)]

    def finish_date(self, moment: float) -> date:
        """The day on which what ends then ends."""
        return self.dates[min(max(ceil(moment - SAME) - 1, 0), len(self.dates) - 1)]

    def morning_of(self, day: date) -> float:
        """The moment at which work begins on that day, or on the next one that is worked."""
        return float(bisect_left(self.dates, day))

    def _sum(self, moment: float) -> float:
        """Work done outdoors by then, if it went on from moment 0 [days of work]; even beyond both ends."""
        at = min(max(floor(moment), 0), len(self.dates) - 1)
        return self._done[at] + (moment - at) * (self._done[at + 1] - self._done[at])

    def _at(self, work: float) -> float:
        at = min(max(bisect_right(self._done, work) - 1, 0), len(self.dates) - 1)
        return at + (work - self._done[at]) / (self._done[at + 1] - self._done[at])


def _dates(first: date, days: WorkingDays, count: int) -> tuple[date, ...]:
    found: list[date] = []
    day, last = first, first + timedelta(days=366 * (LONGEST_YEARS + 1))
    while len(found) < count:
        if days.worked(day):
            found.append(day)
        day += timedelta(days=1)
        if day > last:
            raise BadValue("There are not enough working days: too many are closed.")
    return tuple(found)


def _fitness(dates: tuple[date, ...], days: WorkingDays) -> list[float]:
    """What weather leaves of each day for work outdoors, in the mean of its month [0.1 to 1]."""
    shares: dict[tuple[int, int], float] = {}
    for day in dates:
        month = (day.year, day.month)
        if month not in shares:
            lost = days.lost.get(day.month, 0.0)
            shares[month] = max(LEAST_OF_A_DAY, 1 - lost / _worked_in(month, days)) if lost else 1.0
    return [shares[day.year, day.month] for day in dates]


def _worked_in(month: tuple[int, int], days: WorkingDays) -> int:
    first = date(*month, 1)
    every = (first + timedelta(days=n) for n in range(31))
    return max(1, sum(1 for day in every if day.month == first.month and days.worked(day)))
