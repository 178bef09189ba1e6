"""Client money against the firm's own spending, week by week: who is ahead of whom, and by how much."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

WEEK = timedelta(days=7)


class Flow(StrEnum):
    """Where money came from or went."""

    CLIENT = "client"
    LABOR = "labor"
    RECEIPT = "receipts"
    PAID_OUT = "paid out"
    BILL = "bills"  # of suppliers on orders, and deposits on them


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Money of a day [cents]: received from the client, or spent."""

    day: date
    flow: Flow
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CashWeek:
    """A week from Monday: what came in and what went out in it, and the running difference at its end [cents].

    `ahead` above 0: the client has paid more than was spent. Below 0 the firm finances the client.
    """

    monday: date
    received: int
    labor: int
    receipts: int
    paid_out: int
    ahead: int
    bills: int = 0

    @property
    def spent(self) -> int:
        """All that went out."""
        return self.labor + self.receipts + self.paid_out + self.bills


def monday_of(day: date) -> date:
    """The Monday of a day's week.

    >>> monday_of(date(2027, 3, 7))
    datetime.date(2027, 3, 1)
    """
    return day - timedelta(days=day.weekday())


def cash_weeks(moved: Sequence[Moved], today: date) -> tuple[CashWeek, ...]:
    """Every week from the first money on to this one, those without any too; nothing where no money moved.

    The running difference of the last one is all that was received less all that was spent, to the cent.
    """
    if not moved:
        return ()
    week = monday_of(min(one.day for one in moved))
    last = monday_of(max(today, *(one.day for one in moved)))
    weeks: list[CashWeek] = []
    ahead = 0
    while week <= last:
        own = [one for one in moved if monday_of(one.day) == week]
        sums = {flow: _sum(own, flow) for flow in Flow}
        ahead += sums[Flow.CLIENT] - sum(cents for flow, cents in sums.items() if flow is not Flow.CLIENT)
        weeks.append(
            CashWeek(
                monday=week,
                received=sums[Flow.CLIENT],
                labor=sums[Flow.LABOR],
                receipts=sums[Flow.RECEIPT],
                paid_out=sums[Flow.PAID_OUT],
                ahead=ahead,
                bills=sums[Flow.BILL],
            )
        )
        week += WEEK
    return tuple(weeks)


def _sum(moved: Iterable[Moved], flow: Flow) -> int:
    return sum(one.cents for one in moved if one.flow is flow)


def deepest(weeks: Sequence[CashWeek]) -> CashWeek | None:
    """The week at whose end the firm had most of its own money in the job; None where it never had any."""
    lowest = min(weeks, key=lambda one: one.ahead, default=None)
    return lowest if lowest and lowest.ahead < 0 else None
