"""The punch list: what is still to be done, by zone; what is open, late, done, and accepted by the client."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from app.domain.errors import BadValue
from app.domain.job import WHOLE_JOB, Job, PunchItem

AHEAD = 365  # days within which something is to be done


@dataclass(frozen=True, slots=True, kw_only=True)
class PunchPlace:
    """The items of one zone, or of the job as a whole: the open ones first, the one due first before the others."""

    zone: str
    letter: str
    title: str
    items: tuple[PunchItem, ...]


def is_open(one: PunchItem) -> bool:
    """Whether it is still to be done."""
    return one.done_on is None


def is_late(one: PunchItem, today: date) -> bool:
    """Whether its day has passed."""
    return is_open(one) and one.due is not None and one.due < today


def open_items(items: Iterable[PunchItem]) -> tuple[PunchItem, ...]:
    """What is still to be done."""
    return tuple(one for one in items if is_open(one))


def not_accepted(items: Iterable[PunchItem]) -> tuple[PunchItem, ...]:
    """What is done and the client has not accepted yet."""
    return tuple(one for one in items if one.done_on is not None and one.client_on is None)


def by_place(job: Job) -> tuple[PunchPlace, ...]:
    """The punch list zone by zone, then what is of the whole job; items of a zone that is gone stand with those."""
    zones = [(str(zone.id), zone.letter, zone.title) for zone in job.zones]
    known = {key for key, _, _ in zones}
    found = []
    for key, letter, title in (*zones, (WHOLE_JOB, "", "")):
        held = [one for one in job.punch_items if (one.zone if one.zone in known else WHOLE_JOB) == key]
        if held:
            found.append(PunchPlace(zone=key, letter=letter, title=title, items=tuple(sorted(held, key=_in_order))))
    return tuple(found)


def _in_order(one: PunchItem) -> tuple[bool, date, date, str]:
    return not is_open(one), one.due or date.max, one.day, str(one.id)


def refuse_senseless(one: PunchItem, today: date) -> None:
    """Refuse an item that says nothing, or a day that can't be meant. Raises: BadValue beside its field."""
    if not one.what.strip():
        raise BadValue("Say what is to be done.", field="what")
    if one.due and abs((one.due - today).days) > AHEAD:
        raise BadValue(
            f"{one.due:%B} {one.due.day}, {one.due.year} is more than a year away. Look at the year.", field="due"
        )
