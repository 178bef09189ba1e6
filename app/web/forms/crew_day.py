"""The forms of a crew's paid day and of the year: what goes off a day, how a week is paid, what a month slows."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from starlette.datastructures import FormData

from app.domain import units
from app.domain.basis import Firm, Season
from app.domain.costing.site_factors import SEASONS
from app.domain.errors import BadValue, OutlayError
from app.domain.pay import CrewDay
from app.web.forms.fields import Group, Parsed, Texts

USUAL = CrewDay()  # all of the day is worked
MOST_SEASON = 3
MOST_CLASSES = 40
MOST_OF_A_CLASS = 40
LONGEST_KEY = 60
# input: what it is called, the most it may be
AMOUNTS = {
    "loading": ("Hours at the yard", Decimal(8)),
    "driving": ("Minutes of driving", Decimal(300)),
    "cleanup": ("Hours of cleaning up", Decimal(4)),
    "week_hours": ("Hours of a week", Decimal(80)),
}


def crew_day(name: str) -> Group:
    """A crew's day: inputs `NAME.loading`, …, and `NAME.people.CLASS`. What changes nothing is kept as none."""

    def reader(form: FormData, _firm: Firm) -> Parsed:
        reading = _Reading(form, name)
        made = CrewDay(
            **{key: reading.take(key, _amount(*bounds), getattr(USUAL, key)) for key, bounds in AMOUNTS.items()},
            days_a_week=reading.take("days_a_week", _days, USUAL.days_a_week),
            overtime_extra=reading.take("overtime_extra", _extra, Decimal(0)),
            people=reading.people(),
        )
        value = None if made == USUAL else made
        return Parsed(values={} if reading.errors else {name: value}, errors=reading.errors, typed=reading.typed)

    return Group(name=name, label="The crew's day", reader=reader)


def seasons(name: str) -> Group:
    """What slows work by month: inputs `NAME.MONTH.cause` and `NAME.MONTH.factor`, months 1 to 12."""

    def reader(form: FormData, _firm: Firm) -> Parsed:
        reading = _Reading(form, name)
        found = {str(month): reading.season(month) for month in range(1, 13)}
        kept = {month: one for month, one in found.items() if one}
        return Parsed(values={} if reading.errors else {name: kept}, errors=reading.errors, typed=reading.typed)

    return Group(name=name, label="What slows work by month", reader=reader)


class _Reading:
    """One reading of the form."""

    def __init__(self, form: FormData, name: str) -> None:
        self.form, self.name = form, name
        self.errors, self.typed = Texts(), Texts()

    def take(self, key: str, reader: Callable[[str], Any], empty: Any) -> Any:
        """One input; an empty one is its empty value."""
        at = f"{self.name}.{key}"
        found = self.form.get(at, "")
        typed = found.replace("\x00", "").strip()[:60] if isinstance(found, str) else ""
        self.typed[at] = typed
        if not typed:
            return empty
        try:
            return reader(typed)
        except OutlayError as wrong:
            self.errors[at] = wrong.sentence
        except (ValueError, ArithmeticError):
            self.errors[at] = "This cannot be read as typed. Look at it again."
        return empty

    def season(self, month: int) -> Season | None:
        """One month; one without a cause slows nothing."""
        cause = self.take(f"{month}.cause", str, "")
        factor = self.take(f"{month}.factor", _factor, None)
        if cause not in SEASONS:
            if factor is not None:
                self.errors[f"{self.name}.{month}.factor"] = "Choose what slows the work that month."
            return None
        if factor is None:
            self.errors.setdefault(f"{self.name}.{month}.factor", "Type by how much: 1.2 for a fifth more hours.")
            return None
        return Season(cause=cause, factor=factor)

    def people(self) -> dict[str, int]:
        """Who is in the crew; a class of none is not in it."""
        before = f"{self.name}.people."
        keys = [key.removeprefix(before) for key in self.form if key.startswith(before)][:MOST_CLASSES]
        counts = {key: self.take(f"people.{key}", _count, 0) for key in keys if len(key) <= LONGEST_KEY}
        return {key: count for key, count in counts.items() if count}


def _amount(label: str, most: Decimal) -> Callable[[str], Decimal]:
    def reader(typed: str) -> Decimal:
        value = units.parse_price(typed)
        if value > most:
            raise BadValue(f"{label}: {typed} was typed; {most:f} is the most.")
        return value

    return reader


def _days(typed: str) -> int:
    days = units.parse_count(typed)
    if not 1 <= days <= 7:
        raise BadValue(f"Days a week: {typed} was typed; it must lie between 1 and 7.")
    return days


def _factor(typed: str) -> Decimal:
    value = units.parse_price(typed.removeprefix("×"))
    if not 1 <= value <= MOST_SEASON:
        raise BadValue(f"{typed} was typed; it must lie between 1 and {MOST_SEASON}.")
    return value


def _extra(typed: str) -> Decimal:
    return units.parse_share(typed, most=Decimal(2))


def _count(typed: str) -> int:
    return units.parse_count(typed, most=MOST_OF_A_CLASS)
