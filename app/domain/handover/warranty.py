"""Warranty: visits after hand-over, calls and what they cost against the reserve in the price."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from app.domain.errors import BadValue
from app.domain.job import CAUSES, Job, WarrantyCall, WarrantyVisit
from app.domain.money import cost
from app.domain.takeoff.trace import Trace

MOVED_MOST = 120  # days a visit is moved by
MOST_QUARTERS = 4 * 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A visit after hand-over: the day proposed or typed, and whether it was made."""

    after_days: int
    day: date
    proposed: date
    done_on: date | None = None
    words: str = ""
    thing: WarrantyVisit | None = None


def visits(handed_over: date | None, after_days: Sequence[int], typed: Iterable[WarrantyVisit]) -> tuple[Visit, ...]:
    """The visits of a yard in order; none before it is handed over.

    >>> [str(one.day) for one in visits(date(2027, 6, 1), (30, 90, 365), ())]
    ['2027-07-01', '2027-08-30', '2028-05-31']
    """
    if handed_over is None:
        return ()
    known = {one.after_days: one for one in typed}
    found = []
    for days in after_days:
        proposed, one = handed_over + timedelta(days=days), known.get(days)
        found.append(
            Visit(
                after_days=days,
                day=one.day if one else proposed,
                proposed=proposed,
                done_on=one.done_on if one else None,
                words=one.words if one else "",
                thing=one,
            )
        )
    return tuple(found)


def refuse_moving(visit: Visit, day: date) -> None:
    """Refuse a day that lies far from the proposed one. Raises: BadValue beside `day`."""
    if abs((day - visit.proposed).days) > MOVED_MOST:
        raise BadValue(
            f"{day:%B} {day.day}, {day.year} is more than {MOVED_MOST} days from the day of this visit. "
            "Look at the year.",
            field="day",
        )


def refuse_senseless(call: WarrantyCall) -> None:
    """Refuse a call that says nothing. Raises: BadValue beside what is missing."""
    if not call.what.strip():
        raise BadValue("Say what is wrong.", field="what")
    if call.cause not in CAUSES:
        raise BadValue("Choose what it comes from.", field="cause")
    if call.cents < 0 or call.quarters < 0:
        raise BadValue("Hours and money of a call are nothing or more.", field="hours")
    if call.quarters > MOST_QUARTERS:
        raise BadValue("That is more than 400 hours for one call. Look at the number.", field="hours")


@dataclass(frozen=True, slots=True, kw_only=True)
class CallCost:
    """A call with what it cost [cents]. `unknown`: its hours have no wage, so they are not in it."""

    call: WarrantyCall
    labor_cents: int
    unknown: bool

    @property
    def cents(self) -> int:
        """All of it."""
        return self.labor_cents + self.call.cents


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """What was set aside in the price for going back, and what of it went [cents]."""

    reserved_cents: int
    spent_cents: int  # on calls the firm bears

    @property
    def left_cents(self) -> int:
        """What is left of it; below 0 it was not enough."""
        return self.reserved_cents - self.spent_cents


def call_costs(job: Job, per_hour: Decimal | None) -> tuple[CallCost, ...]:
    """The calls of a job, the newest first, with their cost at the crew's mean hour [whole money]."""
    in_order = sorted(job.warranty_calls, key=lambda one: (one.day, str(one.said_at), str(one.id)), reverse=True)
    return tuple(
        CallCost(
            call=one,
            labor_cents=cost(one.hours, per_hour) if per_hour is not None else 0,
            unknown=per_hour is None and one.quarters > 0,
        )
        for one in in_order
    )


def reserve_of(reserved_cents: int, costs: Iterable[CallCost]) -> Reserve:
    """The reserve with what calls took of it: only what the firm bears."""
    return Reserve(reserved_cents=reserved_cents, spent_cents=sum(one.cents for one in costs if one.call.covered))


def explain_call(one: CallCost, per_hour: Decimal | None, currency: str) -> Trace:
    """What a call cost."""
    rate = f" × {per_hour:,.2f}" if per_hour is not None else ""
    steps = (
        Trace(
            label="Hours",
            expression="hours × the crew's mean hour" if per_hour is not None else "no wage is known",
            filled=f"{one.call.hours:g}{rate}",
            result=one.labor_cents / 100,
            unit=currency,
            source="the bid's crew, wage and burden",
        ),
        Trace(label="Bought or paid", expression="typed", filled="", result=one.call.cents / 100, unit=currency),
    )
    label = f"{one.call.day:%b} {one.call.day.day}, {one.call.what}"
    return Trace(
        label=label, expression="hours + what was bought", filled="", result=one.cents / 100, unit=currency, steps=steps
    )


def explain_spent(costs: Sequence[CallCost], per_hour: Decimal | None, currency: str) -> Trace:
    """What warranty took so far."""
    steps = tuple(explain_call(one, per_hour, currency) for one in costs if one.call.covered)
    total = sum(one.cents for one in costs if one.call.covered)
    told = "sum of the calls that the firm bears"
    return Trace(label="Spent on warranty", expression=told, filled="", result=total / 100, unit=currency, steps=steps)
