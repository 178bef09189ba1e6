"""A schedule as an iCalendar file (RFC 5545): days and stages of a job; nothing of the client, no money."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDay:
    """One entry: whole days, both named included. `key` is the same for the same work every time."""

    key: str
    title: str
    first: date
    last: date
    words: str = ""


def calendar_file(
    entries: Iterable[CalendarDay], *, name: str, made: datetime, refresh: timedelta | None = None
) -> bytes:
    """The bytes of an .ics file. `made` [UTC] stamps every entry; `refresh`: how often a feed is read again."""
    from icalendar import Calendar, Event, vDuration  # slow to load, and only this wants it

    calendar = Calendar()
    calendar.add("prodid", "-//Outlay//schedule//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", name)
    if refresh is not None:  # RFC 7986 5.1, 5.7; the last is what programs read from before that
        calendar.add("name", name)
        calendar.add("refresh-interval", refresh, parameters={"VALUE": "DURATION"})
        calendar.add("x-published-ttl", vDuration(refresh))
    for one in entries:
        event = Event()
        event.add("uid", f"{one.key}@outlay")
        event.add("dtstamp", made.astimezone(UTC))
        event.add("dtstart", one.first)
        event.add("dtend", one.last + timedelta(days=1))  # RFC 5545 3.6.1: the end of whole days is the day after
        event.add("summary", one.title)
        if one.words:
            event.add("description", one.words)
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())
