"""Hours and cost against the bid, by task, zone and phase, and where they end if the work goes on at its pace.

The forecast is that of earned value: with the part that is done, `percent` of what was bid, the hours at the end are
the hours so far ÷ that part. It equals bid ÷ (earned ÷ worked). Source: ANSI/EIA-748 and the US GAO Cost Estimating and
Assessment Guide (GAO-20-195G), from memory: estimate at completion = budget at completion ÷ cost performance index.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cached_property
from math import fsum
from operator import attrgetter

from app.domain.errors import BadValue
from app.domain.job import LoggedHours, SaidDone
from app.domain.joblog.bid import BidTask, TaskPlace, mean_per_hour
from app.domain.joblog.daily_log import QUARTERS
from app.domain.money import cost

LEAST_QUARTERS = QUARTERS  # an hour: what is begun for less shows no pace yet (assumption)
DONE = 100
NOT_IN_BID = "Not in the bid"


class Unsaid(StrEnum):
    """Why there is no telling where a task ends."""

    NOT_BEGUN = "not begun"
    NOT_SAID = "not said"  # hours, and nobody said how far it is
    JUST_BEGUN = "just begun"  # nothing is done yet, or in less than an hour
    NO_HOURS = "no hours"  # some is done, and no hours are logged for it


def at_this_pace(hours: float, percent: int) -> float:
    """Hours at the end [h], where so many made so much of it [percent, above 0 to 100].

    Raises: BadValue for a part that is none.

    >>> at_this_pace(18.0, 50)
    36.0
    """
    if not 0 < percent <= DONE:
        raise BadValue("How far it is must lie above 0% and be at most 100%.")
    return hours * DONE / percent


@dataclass(frozen=True)
class Row:
    """One task: what was bid, what is logged, how far it is said to be, and where it ends at this pace [h].

    `then` are the hours logged by the end of the day it was said on: the pace is theirs.
    """

    bid: BidTask
    entries: tuple[LoggedHours, ...]
    said: SaidDone | None = None

    @property
    def quarters(self) -> int:
        """Hours so far, in quarters of an hour."""
        return sum(one.quarters for one in self.entries)

    @property
    def hours(self) -> float:
        """Hours so far."""
        return self.quarters / QUARTERS

    @property
    def percent(self) -> int | None:
        """How far it is said to be."""
        return self.said.percent if self.said else None

    @property
    def then(self) -> float:
        """Hours by the end of the day on which was said how far it is."""
        return sum(one.quarters for one in self.entries if self.said and one.day <= self.said.day) / QUARTERS

    @property
    def in_bid(self) -> bool:
        """Whether it was bid at all."""
        return self.bid.hours > 0

    @cached_property
    def unsaid(self) -> Unsaid | None:
        """Why there is no telling where it ends; None where there is."""
        if not self.in_bid or (self.percent == DONE and self.quarters):
            return None
        if not self.quarters:
            return Unsaid.NO_HOURS if self.percent else Unsaid.NOT_BEGUN
        if self.percent is None:
            return Unsaid.NOT_SAID
        return Unsaid.JUST_BEGUN if not self.percent or self.then * QUARTERS < LEAST_QUARTERS else None

    @cached_property
    def ends(self) -> float | None:
        """Where it ends at this pace [h], never below what is worked already; None where there is no telling."""
        if self.unsaid:
            return None
        if not self.in_bid or self.percent in (None, DONE):
            return self.hours
        return max(at_this_pace(self.then, self.percent or DONE), self.hours)

    @property
    def expected(self) -> float:
        """Where it ends [h]; while there is no telling, as it was bid, or at what is worked already."""
        return max(self.bid.hours, self.hours) if self.ends is None else self.ends

    @property
    def over(self) -> float | None:
        """How far it ends over the bid [h], below zero under it; None where there is no telling."""
        return None if self.ends is None else self.ends - self.bid.hours

    @property
    def cents(self) -> int:
        """What the hours so far cost [cents], with burden, at the rates of the bid."""
        return self._cost(self.hours)

    @property
    def expected_cents(self) -> int:
        """What it costs at its end [cents]."""
        return self.bid.cents if self.expected == self.bid.hours else self._cost(self.expected)

    def _cost(self, hours: float) -> int:
        return cost(hours, self.bid.per_hour) if self.bid.per_hour is not None else 0


@dataclass(frozen=True)
class Sum:
    """Tasks together: of a zone, a phase, or all. Every figure is the sum of its rows."""

    key: str
    rows: tuple[Row, ...]

    @property
    def bid_hours(self) -> float:
        """Person-hours that were bid."""
        return fsum(row.bid.hours for row in self.rows)

    @property
    def hours(self) -> float:
        """Person-hours so far."""
        return sum(row.quarters for row in self.rows) / QUARTERS

    @property
    def bid_cents(self) -> int:
        """What they were bid to cost [cents]."""
        return sum(row.bid.cents for row in self.rows)

    @property
    def cents(self) -> int:
        """What the hours so far cost [cents]."""
        return sum(row.cents for row in self.rows)

    @property
    def ends(self) -> float | None:
        """Where all of it ends at this pace [h]; None while no task of it shows a pace or is over its bid.

        A task without a pace counts as it was bid, or as worked where that is more.
        """
        told = any(row.quarters and (row.ends is not None or row.hours > row.bid.hours) for row in self.rows)
        return fsum(row.expected for row in self.rows) if told else None

    @property
    def over(self) -> float | None:
        """How far it ends over the bid [h]; None where there is no telling."""
        return None if self.ends is None else self.ends - self.bid_hours

    @property
    def expected_cents(self) -> int:
        """What all of it costs at its end [cents]."""
        return sum(row.expected_cents for row in self.rows)

    @property
    def untold(self) -> tuple[Row, ...]:
        """Tasks that are begun, and nobody can tell where they end: they count as they were bid."""
        return tuple(row for row in self.rows if row.quarters and row.unsaid)

    @property
    def unpaid(self) -> int:
        """How many of its tasks with hours have no wage: their cost is not known."""
        return sum(1 for row in self.rows if row.bid.per_hour is None and (row.quarters or row.bid.hours))


@dataclass(frozen=True)
class AgainstBid:
    """All tasks of the crew against the bid, and the owner's own beside them."""

    rows: tuple[Row, ...]
    own: tuple[Row, ...] = ()

    @cached_property
    def all(self) -> Sum:
        """The crew's tasks together."""
        return Sum("all", self.rows)

    @property
    def own_begun(self) -> tuple[Row, ...]:
        """The owner's own tasks with hours, or of which somebody said how far they are."""
        return tuple(row for row in self.own if row.quarters or row.said)

    @cached_property
    def by_zone(self) -> tuple[Sum, ...]:
        """By zone, in the order of the bid."""
        return _grouped(self.rows, "zone")

    @cached_property
    def begun_by_zone(self) -> tuple[Sum, ...]:
        """Tasks with hours, or of which somebody said how far they are, by zone."""
        return _grouped([row for row in self.rows if row.quarters or row.said], "zone")

    @cached_property
    def by_phase(self) -> tuple[Sum, ...]:
        """By phase."""
        return _grouped(self.rows, "phase")

    def row(self, at: TaskPlace) -> Row | None:
        """The row of one task."""
        return next((row for row in (*self.rows, *self.own) if row.bid.at == at), None)


def against_bid(
    bids: Sequence[BidTask], hours: Iterable[LoggedHours], said: Iterable[SaidDone], titles: Mapping[str, str]
) -> AgainstBid:
    """What is logged held against what was bid.

    Hours of no task that was bid are rows of their own, with nothing bid, at what an hour of the crew costs in the
    mean; `titles` are those of tasks by key, for one that stands in the bid no more.
    """
    worked: dict[TaskPlace, list[LoggedHours]] = {one.at: [] for one in bids}
    for entry in hours:
        worked.setdefault(TaskPlace(entry.zone, entry.phase, entry.task), []).append(entry)
    newest = _newest(said)
    known, mean = {one.at: one for one in bids}, mean_per_hour(bids)
    rows = tuple(
        Row(known.get(at) or _not_bid(at, titles, mean), tuple(entries), newest.get(at))
        for at, entries in worked.items()
    )
    return AgainstBid(rows=tuple(row for row in rows if not row.bid.own), own=tuple(row for row in rows if row.bid.own))


def _not_bid(at: TaskPlace, titles: Mapping[str, str], per_hour: Decimal | None) -> BidTask:
    title = titles.get(at.task, at.task) if at.task else NOT_IN_BID
    return BidTask(at=at, title=title, hours=0.0, cents=0, per_hour=per_hour)


def _newest(said: Iterable[SaidDone]) -> Mapping[TaskPlace, SaidDone]:
    """What was said last of each task: of the latest day, and of that the latest moment."""
    in_order = sorted(said, key=lambda one: (one.day, one.said_at.timestamp() if one.said_at else 0.0, str(one.id)))
    return {TaskPlace(one.zone, one.phase, one.task): one for one in in_order}


def _grouped(rows: Sequence[Row], name: str) -> tuple[Sum, ...]:
    of = attrgetter(name)
    keys = dict.fromkeys(of(row.bid.at) for row in rows)
    return tuple(Sum(key, tuple(row for row in rows if of(row.bid.at) == key)) for key in keys)
