"""The form of the firm's working days: crews, days of the week, days it is closed, what weather takes."""

import re

from starlette.datastructures import FormData

from app.domain import units
from app.domain.errors import BadValue, OutlayError
from app.domain.year import Closed, WorkCalendar
from app.web.forms.fields import Group, Parsed, Texts

MOST_CREWS, MOST_CLOSED, LONGEST_CLOSED, MOST_LOST = 20, 60, 366, 25.0
_TO = re.compile(r"\s+(?:to|through)\s+|\s*[–—]\s*")


def work_calendar(name: str) -> Group:
    """Inputs `NAME.crews`, `NAME.day.0` to `.6`, `NAME.holidays`, `NAME.closed`, `NAME.lost.1` to `.12`."""
    return Group(name=name, label="Working days", reader=lambda form, _firm: _read(form, name))


def _read(form: FormData, name: str) -> Parsed:
    errors, typed = Texts(), Texts()

    def text(key: str, most: int = 60) -> str:
        found = form.get(f"{name}.{key}", "")
        said = found.replace("\x00", "").strip()[:most] if isinstance(found, str) else ""
        typed[f"{name}.{key}"] = said
        return said

    def number(key: str, least: float, most: float, empty: float) -> float:
        said = text(key)
        if not said:
            return empty
        try:
            value = float(said.replace(",", "."))
        except ValueError:
            value = float("nan")
        if not least <= value <= most:
            errors[f"{name}.{key}"] = f"“{said}” was typed; a number from {least:g} to {most:g} is wanted."
            return empty
        return value

    crews = number("crews", 1, MOST_CREWS, 1)
    if crews != int(crews):
        errors[f"{name}.crews"] = "Crews are whole: type 1, 2 or more."
    weekdays = tuple(day for day in range(7) if text(f"day.{day}"))
    if not weekdays:
        errors[f"{name}.day.0"] = "No day of the week is worked: choose at least one."
    closed = _closed(text("closed", 4_000), errors, f"{name}.closed")
    lost = {str(month): number(f"lost.{month}", 0, MOST_LOST, -1) for month in range(1, 13)}
    made = WorkCalendar(
        crews=int(crews),
        weekdays=weekdays,
        holidays=bool(text("holidays")),
        closed=closed,
        lost={month: days for month, days in lost.items() if days >= 0},
    )
    return Parsed(values={} if errors else {name: made}, errors=errors, typed=typed)


def _closed(typed: str, errors: Texts, at: str) -> tuple[Closed, ...]:
    lines = [line.strip() for line in typed.splitlines() if line.strip()]
    if len(lines) > MOST_CLOSED:
        errors[at] = f"{len(lines)} lines were typed; up to {MOST_CLOSED} are kept."
        return ()
    found = []
    for line in lines:
        try:
            found.append(closed_line(line))
        except OutlayError as wrong:
            errors[at] = wrong.sentence
    return tuple(found)


def closed_line(line: str) -> Closed:
    """One line, `2027-12-24 to 2028-01-02: winter break`. Raises: BadValue."""
    days, _, words = line.partition(":")
    parts = _TO.split(days.strip())
    if len(parts) > 2:
        raise BadValue(f"“{line}”: one day, or a first and a last one, as in 2027-12-24 to 2028-01-02.")
    first, last = units.parse_day(parts[0]), units.parse_day(parts[-1])
    if first is None or last is None:
        raise BadValue(f"“{line}”: a day is missing. Type it as 2027-12-24.")
    if last < first:
        raise BadValue(f"“{line}” ends before it begins.")
    if (last - first).days > LONGEST_CLOSED:
        raise BadValue(f"“{line}” is longer than a year. Look at the days again.")
    return Closed(first=first, last=last, words=words.strip()[:80])


def closed_words(one: Closed) -> str:
    """A line as it is typed."""
    days = f"{one.first}" if one.first == one.last else f"{one.first} to {one.last}"
    return f"{days}: {one.words}" if one.words else days
