"""Hand-over and closing: what each waits for, said in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.domain.errors import BadValue, Refused
from app.domain.handover.punch import open_items
from app.domain.handover.signing_tests import LEAST_REASON, SignedRow, named, waiting_for
from app.domain.job import Closing, HandedOver, Job, WarrantyCall

NAMED = 4  # things named in a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyStanding:
    """What of a job's money is open [cents]. `signed`: there is a contract."""

    signed: bool = False
    to_bill_cents: int = 0
    open_cents: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """Something that is still open, in words. `what`: tests, hand-over, punch, bill, paid, calls."""

    what: str
    words: str
    cents: int = 0  # of `bill` and `paid`


def handed_over_of(job: Job) -> HandedOver | None:
    """The hand-over of a job; None before it."""
    return job.handed_over[-1] if job.handed_over else None


def closing_of(job: Job) -> Closing | None:
    """How a job was closed; None while it is open."""
    return job.closings[-1] if job.closings else None


def refuse_handing_over(rows: Sequence[SignedRow], letters: Mapping[str, str]) -> None:
    """Refuse while tests are not signed. Raises: Refused, naming them."""
    waits = waiting_for(rows)
    if not waits:
        return
    names = [named(one, letters) for one in waits]
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    raise Refused(
        f"Hand-over waits for {', '.join(names[:NAMED])}{more}. Sign each test, or record why one is left out where "
        "that may be."
    )


def refuse_day(day: date, today: date, *, not_before: date | None = None) -> None:
    """Refuse a day that has not been, or lies before another. Raises: BadValue beside `day`."""
    if day > today:
        raise BadValue(f"{day:%B} {day.day}, {day.year} has not been yet. Choose the day it was.", field="day")
    if not_before and day < not_before:
        raise BadValue(
            f"{day:%B} {day.day}, {day.year} is before {not_before:%B} {not_before.day}, {not_before.year}. "
            "Look at the year.",
            field="day",
        )


def open_at_closing(
    job: Job, rows: Sequence[SignedRow], money: MoneyStanding, letters: Mapping[str, str]
) -> tuple[Point, ...]:
    """What still stands open of a job, in the order in which it is done."""
    found: list[Point] = [Point(what="tests", words=named(one, letters)) for one in waiting_for(rows)]
    if not job.handed_over:
        found.append(Point(what="hand-over", words="The yard is not handed over"))
    found += [Point(what="punch", words=f"Punch list: {one.what}") for one in open_items(job.punch_items)]
    if money.to_bill_cents:
        found.append(Point(what="bill", words="On no invoice yet", cents=money.to_bill_cents))
    if money.open_cents > 0:
        found.append(Point(what="paid", words="Invoiced and not paid", cents=money.open_cents))
    found += [Point(what="calls", words=f"Warranty call: {one.what}") for one in open_calls(job.warranty_calls)]
    return tuple(found)


def open_calls(calls: Iterable[WarrantyCall]) -> tuple[WarrantyCall, ...]:
    """Calls that nobody has settled."""
    return tuple(one for one in calls if one.done_on is None)


def refuse_closing(job: Job, points: Sequence[Point], reason: str) -> None:
    """Refuse to close what is not handed over, and what stands open without a reason. Raises: Refused, BadValue."""
    if not job.handed_over:
        raise Refused("A job is closed once the yard is handed over. Hand it over first.")
    if points and len(reason) < LEAST_REASON:
        count = "One thing stands" if len(points) == 1 else f"{len(points)} things stand"
        raise BadValue(f"{count} open. Settle it, or say why the job is closed all the same.", field="reason")
